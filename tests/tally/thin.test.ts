import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Point, thin } from '../../edge/tally/thin.ts';

const GAP_MS = 15;

interface Line {
  readonly atMs: number[];
  readonly milliC: number[];
}

const lines: fc.Arbitrary<Line> = fc
  .array(
    fc.tuple(
      fc.oneof(
        { weight: 8, arbitrary: fc.integer({ min: 1, max: GAP_MS }) },
        { weight: 1, arbitrary: fc.integer({ min: GAP_MS + 1, max: 500 }) },
      ),
      fc.integer({ min: -40_000, max: 90_000 }),
    ),
    { maxLength: 300 },
  )
  .map((steps) => {
    let at = 1_768_485_600_000;
    const atMs = steps.map(([step]) => (at += step));
    return { atMs, milliC: steps.map(([, milliC]) => milliC) };
  });

/** The stretches of a line that no gap interrupts, as indices from and to. */
function segmentsOf({ atMs }: Line): { from: number; to: number }[] {
  const segments: { from: number; to: number }[] = [];
  atMs.forEach((at, index) => {
    const last = segments.at(-1);
    if (last !== undefined && at - (atMs[index - 1] as number) <= GAP_MS) last.to = index;
    else segments.push({ from: index, to: index });
  });
  return segments;
}

/** A thinned line cut at its breaks. */
function piecesOf(points: readonly Point[]): Point[][] {
  const pieces: Point[][] = [[]];
  for (const point of points) {
    if (point[1] === null) pieces.push([]);
    else pieces.at(-1)?.push(point);
  }
  return pieces.filter((piece) => piece.length > 0);
}

describe('a thinned line', () => {
  test('with room for all holds every reading, broken at the gaps and nowhere else', () => {
    fc.assert(
      fc.property(lines, fc.nat(50), (line, spare) => {
        const pieces = piecesOf(thin(line.atMs, line.milliC, GAP_MS, line.atMs.length + spare));
        const expected = segmentsOf(line).map(({ from, to }) =>
          line.atMs.slice(from, to + 1).map((at, index) => [at, (line.milliC[from + index] as number) / 1000]),
        );
        expect(pieces).toEqual(expected);
      }),
    );
  });

  test('keeps the ends, the coldest and the warmest of every unbroken stretch, and invents nothing', () => {
    fc.assert(
      fc.property(lines, fc.integer({ min: 2, max: 60 }), (line, points) => {
        const pieces = piecesOf(thin(line.atMs, line.milliC, GAP_MS, points));
        const segments = segmentsOf(line);
        expect(pieces).toHaveLength(segments.length);
        const readings = new Map(line.atMs.map((at, index) => [at, (line.milliC[index] as number) / 1000]));
        pieces.forEach((piece, index) => {
          const { from, to } = segments[index] as { from: number; to: number };
          const own = line.milliC.slice(from, to + 1).map((milliC) => milliC / 1000);
          const celsius = piece.map(([, value]) => value as number);
          expect(Math.min(...celsius)).toBe(Math.min(...own));
          expect(Math.max(...celsius)).toBe(Math.max(...own));
          expect([piece[0]?.[0], piece.at(-1)?.[0]]).toEqual([line.atMs[from], line.atMs[to]]);
          for (const [at, value] of piece) expect(value).toBe(readings.get(at));
        });
        const times = thin(line.atMs, line.milliC, GAP_MS, points).map(([at]) => at);
        expect(times).toEqual([...new Set(times)].sort((a, b) => a - b));
      }),
    );
  });

  test('has no more points than it was allowed, but for the ends of its stretches', () => {
    fc.assert(
      fc.property(lines, fc.integer({ min: 2, max: 60 }), (line, points) => {
        const kept = piecesOf(thin(line.atMs, line.milliC, GAP_MS, points)).flat().length;
        expect(kept).toBeLessThanOrEqual(points + 4 * segmentsOf(line).length);
      }),
    );
  });

  test('shows a spike of one reading among a hundred thousand', () => {
    const atMs = Array.from({ length: 100_000 }, (_, index) => index * 10);
    const milliC = atMs.map((at) => (at === 777_770 ? 31_000 : at === 123_450 ? -9000 : 8000));
    const line = thin(atMs, milliC, GAP_MS, 200);
    expect(line).toContainEqual([777_770, 31]);
    expect(line).toContainEqual([123_450, -9]);
    expect(line.length).toBeLessThanOrEqual(204);
  });
});
