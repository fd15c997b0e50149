import { expect, test } from 'vitest';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { judge } from '../../edge/cure/judge.ts';
import { HOUR_MS, type Schedule } from '../../edge/cure/schedule.ts';

const strict = builtInSchedules.find((schedule) => schedule.name === 'laminate-strict') as Schedule;

/** Stages after so many milliseconds at `celsius`, one reading a minute and one at the end. */
function stagesAfter(untilMs: number, celsius: number): string[] {
  const atMs = Array.from({ length: Math.ceil(untilMs / 60_000) }, (_, minute) => minute * 60_000);
  atMs.push(untilMs);
  const readings = { atMs, milliC: atMs.map(() => celsius * 1000) };
  const sources = [{ name: 'p1', role: 'material' as const, guardMilliC: 0, readings }];
  return judge(strict, sources, { startMs: 0, gapLimitMs: 900_000 }).fold.state.reached.map(({ stage }) => stage);
}

// At least 48 h at 18 °C or warmer after lamination [P "Production Procedures, Workmanship…" §3.2.7].
test.each([
  [47.999 * HOUR_MS, 18, []],
  [48 * HOUR_MS - 1, 18, []],
  [48 * HOUR_MS, 18, ['stress', 'hydro']],
  [48 * HOUR_MS, 25, ['stress', 'hydro']],
  [48 * HOUR_MS - 1, 40, []],
  [48 * HOUR_MS, 17.999, []],
  [480 * HOUR_MS, 14.999, []],
])('the strict rule after %d ms at %d °C: %j', (untilMs, celsius, stages) => {
  expect(stagesAfter(untilMs, celsius)).toEqual(stages);
});
