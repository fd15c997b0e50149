import { describe, expect, it } from 'vitest';
import { z } from 'zod';

import { encodePack, PACK_SAMPLES_MAX } from '../../edge/demo/pack.ts';

const Pack = z.array(
  z.strictObject({
    bn: z.string().optional(),
    bt: z.number().optional(),
    bu: z.string().optional(),
    n: z.string(),
    u: z.string().optional(),
    t: z.number().optional(),
    v: z.number(),
  }),
);

/** RFC 8428 section 4.6, written anew here: base fields hold from the record that names them on; `bn` + `n`, `bt` + `t`, `u` before `bu`. */
function resolve(payload: string) {
  let base = { bn: '', bt: 0, bu: '' };
  return Pack.parse(JSON.parse(payload)).map(({ bn, bt, bu, n, u, t, v }) => {
    base = { bn: bn ?? base.bn, bt: bt ?? base.bt, bu: bu ?? base.bu };
    return { name: base.bn + n, unit: u ?? base.bu, atMs: Math.round((base.bt + (t ?? 0)) * 1000), value: v };
  });
}

const samples = (count: number) =>
  Array.from({ length: count }, (_, index) => ({ atMs: 1_768_500_000_123 + index * 30_001, celsius: 7 - index / 16 }));

describe('encodePack', () => {
  it.each([1, 2, 300])('says of %d samples exactly what they are, to the millisecond', (count) => {
    const expected = samples(count).map(({ atMs, celsius }) => ({
      name: 'n-base-a:temperature',
      unit: 'Cel',
      atMs,
      value: celsius,
    }));
    expect(resolve(encodePack('n-base-a:', samples(count)))).toEqual(expected);
  });

  it('adds the battery in volts at the time of the last sample', () => {
    const [, second] = samples(2);
    expect(resolve(encodePack('a:', samples(2), 3.61))).toContainEqual({
      name: 'a:battery',
      unit: 'V',
      atMs: second?.atMs,
      value: 3.61,
    });
  });

  it('says what was measured beside the temperature, in its own unit and at its own time', () => {
    const [first, second] = samples(2) as [{ atMs: number; celsius: number }, { atMs: number; celsius: number }];
    const pack = encodePack('a:', [
      { ...first, humidityPercent: 57.1, batteryPercent: 62 },
      { ...second, levelMetres: 1.1428 },
    ]);
    expect(resolve(pack).filter(({ name }) => name !== 'a:temperature')).toEqual([
      { name: 'a:humidity', unit: '%RH', atMs: first.atMs, value: 57.1 },
      { name: 'a:battery', unit: '%EL', atMs: first.atMs, value: 62 },
      { name: 'a:level', unit: 'm', atMs: second.atMs, value: 1.1428 },
    ]);
  });

  it('stays within 48 KiB at its fullest, under the longest probe id', () => {
    const wide = samples(PACK_SAMPLES_MAX).map(({ atMs }, index) => ({
      ...{ atMs: atMs + index * 1e9, celsius: -19.9375 },
      ...{ humidityPercent: 100.1 },
    }));
    expect(Buffer.byteLength(encodePack(`${'x'.repeat(64)}:`, wide, 3.613))).toBeLessThan(48 * 1024);
  });

  it('refuses an empty pack, which the format does not have', () => {
    expect(() => encodePack('a:', [])).toThrow(RangeError);
  });
});
