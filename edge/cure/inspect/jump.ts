import type { Episode } from './episode.ts';
import { Stretches } from './stretches.ts';
import { sinceStart, type Watch } from './watch.ts';

// Our own choices, no source. A thin laminate on a cold sump warms by about 1 °C a minute at the height of its exotherm and under a
// heat lamp; twice that, and by this much, is a probe that was moved, or a bad contact.
export const JUMP_MILLI_C = 5000;
export const JUMP_MILLI_C_PER_MINUTE = 2000;

/** Neighbouring readings on the material, after the last ply or pour, that differ by more than a laminate can between them. */
export function jumps(watch: Watch): Episode[] {
  return watch.materials.flatMap(({ probe, temperature }) => {
    const { atMs, values, first, end } = sinceStart(watch, temperature);
    const stretches = new Stretches('jump', [probe], watch);
    for (let index = first + 1; index < end; index++) {
      const overMs = (atMs[index] as number) - (atMs[index - 1] as number);
      const changeMilliC = (values[index] as number) - (values[index - 1] as number);
      const size = Math.abs(changeMilliC);
      if (size < JUMP_MILLI_C || overMs > watch.spec.gapLimitMs || size * 60_000 <= JUMP_MILLI_C_PER_MINUTE * overMs) continue;
      stretches.add(atMs[index - 1] as number, atMs[index] as number, size, { changeMilliC, overMs, count: 1 });
    }
    return stretches.episodes;
  });
}
