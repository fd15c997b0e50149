import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { MEMBERS, normalAt, normalOf } from '../../../edge/cure/outlook/chance.ts';

describe('normalOf', () => {
  // [P] Quantiles of the standard normal distribution as printed in statistical tables.
  test.each([
    [0.5, 0],
    [0.75, 0.67449],
    [0.9, 1.28155],
    [0.95, 1.64485],
    [0.975, 1.95996],
    [0.99, 2.32635],
    [0.995, 2.57583],
    [0.999, 3.09023],
    [0.9999, 3.71902],
  ])('stays below with probability %d: %d', (p, value) => {
    expect(normalOf(p)).toBeCloseTo(value, 5);
    expect(normalOf(1 - p)).toBeCloseTo(-value, 5);
  });

  test('rises all the way, also where its parts meet', () => {
    const values = Array.from({ length: 99_999 }, (_, index) => normalOf((index + 1) / 100_000));
    expect(values.slice(1).filter((value, index) => value <= (values[index] as number))).toEqual([]);
  });

  test('turned back by the integral of the bell curve', () => {
    // Simpson's rule from 0 to x over the density.
    const below = (x: number) => {
      const steps = 2000;
      const density = (t: number) => Math.exp((-t * t) / 2) / Math.sqrt(2 * Math.PI);
      let sum = density(0) + density(x);
      for (let step = 1; step < steps; step++) sum += density((x * step) / steps) * (step % 2 === 0 ? 2 : 4);
      return 0.5 + (sum * x) / steps / 3;
    };
    fc.assert(fc.property(fc.double({ min: 1e-6, max: 1 - 1e-6, noNaN: true }), (p) => Math.abs(below(normalOf(p)) - p) < 1e-8));
  });
});

describe('normalAt', () => {
  const many = Array.from({ length: 200 }, (_, step) =>
    Array.from({ length: MEMBERS / 2 }, (_, pair) => normalAt(3, 2 * pair, step)),
  ).flat();
  const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;

  test('has the moments of a standard normal variable', () => {
    // 6400 draws: the mean is good to 0.0125, the others to about sqrt(2/6400), sqrt(15/6400), sqrt(96/6400); four of each.
    expect(Math.abs(mean(many))).toBeLessThan(0.05);
    expect(Math.abs(mean(many.map((x) => x ** 2)) - 1)).toBeLessThan(0.07);
    expect(Math.abs(mean(many.map((x) => x ** 3)))).toBeLessThan(0.2);
    expect(Math.abs(mean(many.map((x) => x ** 4)) - 3)).toBeLessThan(0.5);
  });

  test('one step says nothing of the next, one member or stream nothing of its neighbour', () => {
    const products = (of: (member: number, step: number) => number) =>
      mean(
        Array.from({ length: 6400 }, (_, index) => {
          const member = 2 * (index % 32);
          const step = Math.floor(index / 32);
          return normalAt(3, member, step) * of(member, step);
        }),
      );
    expect(Math.abs(products((member, step) => normalAt(3, member, step + 1)))).toBeLessThan(0.05);
    expect(Math.abs(products((member, step) => normalAt(3, member + 2, step)))).toBeLessThan(0.05);
    expect(Math.abs(products((member, step) => normalAt(4, member, step)))).toBeLessThan(0.05);
    expect(Math.abs(products((member, step) => normalAt(member, 6, step)))).toBeLessThan(0.05);
  });

  test('is the same for ever: what a site was told must come out again', () => {
    expect([normalAt(0, 0, 1), normalAt(0, 2, 1), normalAt(1, 0, 0), normalAt(4_000_000_000, 62, 192)]).toEqual([
      1.1946605345237866, 0.46781130329797704, -1.9132211021949137, -1.1096897316428234,
    ]);
    fc.assert(
      fc.property(fc.nat(), fc.nat(MEMBERS), fc.nat(2000), (stream, member, step) => {
        const deviate = normalAt(stream, member, step);
        expect(normalAt(stream, member, step)).toBe(deviate);
        expect(Math.abs(deviate)).toBeLessThan(6.5);
      }),
    );
  });

  test('members come in pairs of opposite sign', () => {
    fc.assert(
      fc.property(fc.nat(), fc.nat(500), fc.nat(2000), (stream, pair, step) => {
        expect(normalAt(stream, 2 * pair + 1, step)).toBe(-normalAt(stream, 2 * pair, step));
      }),
    );
  });
});
