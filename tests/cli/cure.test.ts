import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { compileRateTable } from '../../edge/cure/rateTable.ts';
import type { Schedule } from '../../edge/cure/schedule.ts';
import { rateTableSha256 } from '../../edge/evidence/canonical.ts';
import type { CureReport } from '../../edge/verbs/cureReport.ts';
import { file, folder, judged, laminate, run } from './runCure.ts';

/** `[HH:MM, celsius]` of one winter morning, UTC−6. */
function morning(...rows: readonly (readonly [string, number])[]): string {
  return ['time,celsius', ...rows.map(([clock, celsius]) => `2026-01-15T${clock}:00-06:00,${celsius}`), ''].join('\n');
}

/*
 * A history reckoned by hand with E = 60 kJ/mol, reference 10 °C, floor 5 °C, gap limit 15 min, no guard band; the rate by
 * exp[(60 000 / 8.314462618) · (1/283.15 − 1/T)] is 0.8342 at 8 °C (281.15 K) and 0.6941 at 6 °C (279.15 K) [C].
 *
 *   06:00–06:10  12 to 12 °C   full rate                          10.000 min
 *   06:10–06:20  12 to  8 °C   the colder end, 0.8342              8.342
 *   06:20–06:30   8 to  8 °C   0.8342                              8.342
 *   06:30–06:40   8 to  4 °C   below the floor: cold               0
 *   06:40–06:50   4 to  6 °C   below the floor: cold               0
 *   06:50–07:00   6 to  6 °C   0.6941                              6.941
 *   07:00–07:20  20 min        beyond the gap limit: no proof      0
 *   07:20–07:30  12 to 12 °C   full rate                          10.000
 *                                                        sum      43.625 min = 0.7271 h
 * Cold 20 min = 0.3333 h, no proof 20 min = 0.3333 h, clock 90 min = 1.5 h.
 * Half a warm hour: 26.684 min are there at 06:50; the missing 3.316 min take 3.316/0.6941 = 4.778 min, so at 06:54:46.7.
 */
const byHand = morning(
  ['06:00', 12],
  ['06:10', 12],
  ['06:20', 8],
  ['06:30', 8],
  ['06:40', 4],
  ['06:50', 6],
  ['07:00', 6],
  ['07:20', 12],
  ['07:30', 12],
);

describe('the result', () => {
  test('has exactly the published keys', async () => {
    const report = await judged(byHand);
    expect(Object.keys(report)).toEqual([
      'schedule',
      'rateTableSha256',
      'from',
      'to',
      'warmHours',
      'clockHours',
      'coldHours',
      'gapHours',
      'stages',
      'rejected',
    ]);
    expect(report).toMatchObject({
      schedule: 'polyester-laminate',
      rateTableSha256: rateTableSha256(compileRateTable(laminate)),
      from: '2026-01-15T12:00:00.000Z',
      to: '2026-01-15T13:30:00.000Z',
      stages: [
        { stage: 'stress', requiredHours: 12, reachedAt: null },
        { stage: 'hydro', requiredHours: 24, reachedAt: null },
      ],
      rejected: [],
    });
  });

  test('agrees with a calculation by hand to a thousandth of an hour', async () => {
    const report = await judged(byHand, '--guard-celsius', '0');
    expect(Math.abs(report.warmHours - 0.7271)).toBeLessThan(0.001);
    expect(Math.abs(report.coldHours - 0.3333)).toBeLessThan(0.001);
    expect(Math.abs(report.gapHours - 0.3333)).toBeLessThan(0.001);
    expect(report.clockHours).toBe(1.5);
  });

  test('reaches the stages of a schedule file when the calculation by hand does', async () => {
    const own: Schedule = { ...laminate, name: 'own', stages: [{ stage: 'half', requiredHours: 0.5 }] };
    const { code, out } = await run(
      file(byHand),
      '--schedule',
      file(JSON.stringify(own), '.json'),
      '--guard-celsius',
      '0',
      '--json',
    );
    const report = JSON.parse(out[0] as string) as CureReport;
    expect({ code, schedule: report.schedule }).toEqual({ code: 0, schedule: 'own' });
    const reachedMs = Date.parse(report.stages[0]?.reachedAt ?? '');
    expect(Math.abs(reachedMs - Date.parse('2026-01-15T12:54:46.7Z'))).toBeLessThan(0.001 * 3_600_000);
  });

  test('a guard band of 0.5 °C is taken off unless told otherwise', async () => {
    const atReference = morning(['06:00', 10], ['06:15', 10]);
    expect((await judged(atReference)).warmHours).toBeLessThan(0.25);
    expect((await judged(atReference, '--guard-celsius', '0.5')).warmHours).toBe((await judged(atReference)).warmHours);
    expect((await judged(atReference, '--guard-celsius', '0')).warmHours).toBe(0.25);
    expect((await judged(morning(['06:00', 10.5], ['06:15', 10.5]))).warmHours).toBe(0.25);
  });

  test('--from moves the start, within an interval and beyond the last reading', async () => {
    const warm = morning(['06:00', 20], ['06:10', 20], ['06:20', 20]);
    expect(await judged(warm, '--from', '2026-01-15T12:05:00Z')).toMatchObject({
      from: '2026-01-15T12:05:00.000Z',
      warmHours: 0.25,
      clockHours: 0.25,
    });
    expect(await judged(warm, '--from', '2026-01-15T05:00:00-06:00')).toMatchObject({
      warmHours: 0.333333,
      gapHours: 1,
      clockHours: 1.333333,
    });
    const { code, err } = await run(file(warm), '--schedule', 'polyester-laminate', '--from', '2026-02-01T00:00:00Z');
    expect(code).toBe(2);
    expect(err.join()).toMatch(/no reading at or after --from/);
  });

  test('--gap-minutes: at the limit proven, beyond it not', async () => {
    const hourly = morning(['06:00', 20], ['07:00', 20]);
    expect(await judged(hourly)).toMatchObject({ warmHours: 0, gapHours: 1 });
    expect(await judged(hourly, '--gap-minutes', '60')).toMatchObject({ warmHours: 1, gapHours: 0 });
    expect(await judged(hourly, '--gap-minutes', '59.9')).toMatchObject({ warmHours: 0, gapHours: 1 });
  });

  test('12 warm hours are reached after 12 hours at the reference, on the minute', async () => {
    const rows = Array.from(
      { length: 24 * 60 + 1 },
      (_, minute) => `${new Date(Date.UTC(2026, 0, 15, 0, minute)).toISOString()},10.5`,
    );
    expect((await judged(`time,celsius\n${rows.join('\n')}`)).stages).toEqual([
      { stage: 'stress', requiredHours: 12, reachedAt: '2026-01-15T12:00:00.000Z' },
      { stage: 'hydro', requiredHours: 24, reachedAt: '2026-01-16T00:00:00.000Z' },
    ]);
  });

  test('for people: schedule, reference, source, stages, what was not credited, rejected rows, a caution', async () => {
    const { code, out } = await run(file(`${byHand}nonsense,1\n`), '--schedule', 'polyester-laminate', '--guard-celsius', '0');
    const text = out.join('\n');
    expect(code).toBe(0);
    expect(text).toContain('Reference     10 °C; colder counts less, below 5 °C nothing');
    expect(text).toContain(laminate.source);
    expect(text).toMatch(/Warm hours {4}0\.727 of 1\.500 clock hours/);
    expect(text).toMatch(
      /Uncredited {4}0\.333 h without proof, 0\.333 h below the floor, 0\.\d{3} h taken off for cold above it/,
    );
    expect(text).toMatch(/Stage stress {2}12 h: not reached, 11\.273 warm hours short/);
    expect(text).toMatch(/Rejected {6}1 row\n\s+line 11: time "nonsense" is not ISO 8601/);
    expect(text).toContain('This advises only.');
  });
});

describe('what cannot be used is said in a sentence, with exit code 2', () => {
  const good = 'time,celsius\n2026-01-15T06:00:00Z,20\n2026-01-15T06:10:00Z,20\n';

  test.each<[string, string, RegExp]>([
    ['an empty file', '', /is empty; the first line must name the columns/],
    ['blank lines alone', '\n\n', /is empty; the first line must name the columns/],
    ['no header', '2026-01-15T06:00:00Z,20\n', /no header found/],
    ['an unknown column', 'time,celsius,battery\n', /unknown column "battery"/],
    ['a column twice', 'time,time,celsius\n', /column "time" is there twice/],
    ['no time', 'celsius\n20\n', /no column "time"/],
    ['no temperature', 'time,humidity\n', /no column "celsius" or "fahrenheit"/],
    ['two temperatures', 'time,celsius,fahrenheit\n', /both "celsius" and "fahrenheit"/],
    ['a header alone', 'time,celsius\n', /has a header and no readings/],
    [
      'no usable reading',
      'time,celsius\n2026-01-15T06:00:00,20\n',
      /no usable reading; 1 rejected, line 2: time .* has no offset/,
    ],
    ['an unclosed quote', 'time,celsius\n"2026-01-15T06:00:00Z,20\n', /cannot be read: Quote Not Closed/],
    ['another kind of file', `time,celsius\n${'x'.repeat(100_000)}`, /cannot be read: Max Record Size/],
  ])('%s', async (_what, content, message) => {
    const { code, err } = await run(file(content), '--schedule', 'polyester-laminate');
    expect(code).toBe(2);
    expect(err).toHaveLength(1);
    expect(err[0]).toMatch(message);
  });

  test('with no usable reading, --json still lists what was rejected', async () => {
    const { code, out } = await run(file('time,celsius\n2026-01-15T06:00:00,20\n'), '--schedule', 'epoxy-pour', '--json');
    expect(code).toBe(2);
    expect(JSON.parse(out[0] as string)).toMatchObject({
      from: null,
      to: null,
      warmHours: 0,
      clockHours: 0,
      rejected: [{ line: 2, reason: expect.stringMatching(/has no offset/) }],
    });
  });

  test('a file that is not there, and a folder', async () => {
    expect((await run(join(folder, 'none.csv'), '--schedule', 'epoxy-pour')).err).toEqual([
      `cure: there is no file ${join(folder, 'none.csv')}`,
    ]);
    expect((await run(folder, '--schedule', 'epoxy-pour')).err.join()).toMatch(/cannot be read: EISDIR/);
  });

  test.each<[string[], RegExp]>([
    [[], /give one CSV file/],
    [['a.csv', 'b.csv', '--schedule', 'epoxy-pour'], /give one CSV file, not 2/],
    [['a.csv'], /--schedule is missing; known: polyester-laminate, epoxy-pour, sealant-bead, laminate-strict/],
    [
      ['a.csv', '--schedule', 'polyester'],
      /no schedule "polyester"; known: polyester-laminate, epoxy-pour, sealant-bead, laminate-strict/,
    ],
    [['a.csv', '--schedule', 'none.json'], /there is no file none\.json/],
    [['a.csv', '--schedule', 'epoxy-pour', '--from', '2026-01-15T06:00:00'], /--from: time "2026-01-15T06:00:00" has no offset/],
    [['a.csv', '--schedule', 'epoxy-pour', '--from', 'noon'], /--from: time "noon" is not ISO 8601/],
    [
      ['a.csv', '--schedule', 'epoxy-pour', '--gap-minutes', '0'],
      /--gap-minutes must be a number of minutes, more than 0 and at most 240/,
    ],
    [['a.csv', '--schedule', 'epoxy-pour', '--gap-minutes', 'many'], /--gap-minutes must be .* not "many"/],
    [['a.csv', '--schedule', 'epoxy-pour', '--guard-celsius', '5.1'], /--guard-celsius must be a number from 0 to 5/],
    [['a.csv', '--schedule', 'epoxy-pour', '--guard-celsius='], /--guard-celsius must be/],
    [['a.csv', '--schedule', 'epoxy-pour', '--gard-celsius', '1'], /--gard-celsius/],
  ])('options %j', async (args, message) => {
    const { code, out, err } = await run(...args);
    expect({ code, out }).toEqual({ code: 2, out: [] });
    expect(err.join('\n')).toMatch(message);
    expect(err.at(-1)).toBe('cure: --help shows all options');
  });

  test('all faults of a schedule file together, each with its place', async () => {
    const bad = { ...laminate, floorCelsius: 5.05, stages: [{ stage: 'Stress', requiredHours: 0 }], colour: 'red' };
    const { code, err } = await run(file(good), '--schedule', file(JSON.stringify(bad), '.json'));
    expect(code).toBe(2);
    const text = err.join('\n');
    expect(text).toMatch(/floorCelsius: must be a multiple of 0\.1 °C/);
    expect(text).toMatch(/stages\.0\.stage: use small letters/);
    expect(text).toMatch(/stages\.0\.requiredHours: /);
    expect(text).toMatch(/colour/);
    expect((await run(file(good), '--schedule', file('{', '.json'))).err.join()).toMatch(/is no readable JSON file/);
  });

  test('several faults are told at once', async () => {
    const { err } = await run('--schedule', 'x', '--from', 'y', '--guard-celsius', 'z');
    expect(err).toHaveLength(5);
  });
});

test('--help tells the options and the known schedules', async () => {
  const { code, out } = await run('--help');
  expect(code).toBe(0);
  expect(out.join('\n')).toMatch(/usage: cure FILE\.csv --schedule NAME\|FILE\.json[\s\S]*laminate-strict/);
});

test('warm hours are counted to the ceiling of the fold, and the table says so', async () => {
  const rows = Array.from({ length: 505 }, (_, index) => `${new Date(index * 4 * 3_600_000).toISOString()},20`);
  const long = file(`time,celsius\n${rows.join('\n')}\n`);
  const { out } = await run(long, '--schedule', 'polyester-laminate', '--gap-minutes', '240');
  expect(out.join('\n')).toMatch(/Warm hours {4}at least 2000\.000 of 2016\.000 clock hours/);
});
