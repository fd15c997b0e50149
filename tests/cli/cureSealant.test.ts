import { expect, test } from 'vitest';
import type { CureReport } from '../../edge/verbs/cureReport.ts';
import { file, run } from './runCure.ts';

/** So many hours of steady air, a row every ten minutes, from 08:00 UTC. */
function air(hours: number, celsius: number, humidity: number | ''): string {
  const startMs = Date.parse('2026-01-15T08:00:00Z');
  const rows = Array.from({ length: hours * 6 + 1 }, (_, row) => {
    const at = new Date(startMs + row * 600_000).toISOString();
    return `${at},${celsius},${humidity}`;
  });
  return ['time,celsius,humidity', ...rows, ''].join('\n');
}

async function sealant(content: string, ...options: string[]): Promise<CureReport> {
  const { code, out, err } = await run(file(content), '--schedule', 'sealant-bead', '--json', ...options);
  expect({ code, err }).toEqual({ code: 0, err: [] });
  return JSON.parse(out[0] as string) as CureReport;
}

const asRead = ['--guard-celsius', '0', '--guard-humidity', '0'];

test('at 20 °C and 50 %RH an hour counts as one, and a bead of 3 mm is through after 24 [P generic data sheet]', async () => {
  const { warmHours, stages } = await sealant(air(24, 20, 50), ...asRead);
  expect(warmHours).toBe(24);
  expect(stages.map(({ reachedAt }) => reachedAt)).toEqual(['2026-01-15T20:00:00.000Z', '2026-01-16T08:00:00.000Z']);
});

test('a bead of 6 mm needs four times as long', async () => {
  const { stages } = await sealant(air(25, 20, 50), ...asRead, '--bead-mm', '6');
  expect(stages).toMatchObject([
    { requiredHours: 12, reachedAt: '2026-01-15T20:00:00.000Z' },
    { requiredHours: 96, reachedAt: null },
  ]);
});

test('half the humidity earns half, and the guard bands take off colder and drier', async () => {
  expect((await sealant(air(24, 20, 25), ...asRead)).warmHours).toBe(12);
  expect((await sealant(air(24, 20, 50))).warmHours).toBeLessThan(24 * (47 / 50));
});

test('a file without humidity is no proof for a sealant, and says so', async () => {
  const { code, out, err } = await run(file(air(24, 20, '')), '--schedule', 'sealant-bead');
  expect({ code, out }).toEqual({ code: 2, out: [] });
  expect(err.at(-1)).toMatch(/has no humidity; sealant-bead cures by the moisture of the air/);
});

test.each([
  [['--bead-mm', '0'], /more than 0 and at most 50/],
  [['--guard-humidity', '21'], /from 0 to 20/],
])('%j is refused', async (options, message) => {
  const { code, err } = await run(file(air(1, 20, 50)), '--schedule', 'sealant-bead', ...options);
  expect(code).toBe(2);
  expect(err[0]).toMatch(message);
});

test('a bead is for a sealant only', async () => {
  const { code, err } = await run(file(air(1, 20, 50)), '--schedule', 'polyester-laminate', '--bead-mm', '3');
  expect(code).toBe(2);
  expect(err[0]).toMatch(/for a sealant/);
});
