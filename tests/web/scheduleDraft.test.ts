import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { compileRateTable } from '../../edge/cure/rateTable.ts';
import { Schedule } from '../../edge/cure/schedule.ts';
import { draftOf, isSourceStale, scheduleSaid, tableHoursAtReference } from '../../web/pages/schedules/draft.ts';
import { inDoseUnit, mixDraftOf, mixRulesOf } from '../../web/pages/schedules/mixDraft.ts';
import { celsiusOf, gridCelsiusOf, type Unit, writtenCelsius } from '../../web/pages/schedules/numbers.ts';

const UNITS: readonly Unit[] = ['F', 'C'];
const polyester = builtInSchedules[0] as Schedule;

/** Numbers to a thousandth: 60 °F stands in a field of °C as 15.5556. */
const rounded = (value: unknown): unknown =>
  JSON.parse(JSON.stringify(value, (_key, each: unknown) => (typeof each === 'number' ? Number(each.toFixed(3)) : each)));

const table: Schedule = {
  ...polyester,
  name: 'sheet',
  law: {
    kind: 'table',
    points: [
      { celsius: 5, hours: 30 },
      { celsius: 12.5, hours: 16.25 },
      { celsius: 30, hours: 8 },
    ],
  },
  hotAboveCelsius: 90,
};
const q10: Schedule = { ...polyester, name: 'q10', law: { kind: 'q10', factorPer10Kelvin: 2.3 }, ambientStandIn: true };

describe.each(UNITS)('typed in °%s', (unit) => {
  test.each([...builtInSchedules, table, q10])('$name comes back from the fields as it went in', (schedule) => {
    const read = Schedule.parse(scheduleSaid(draftOf(schedule, unit), schedule, unit));
    expect(rounded(read)).toEqual(rounded(schedule));
    expect(compileRateTable(read)).toEqual(compileRateTable(schedule));
  });

  test('a limit lands on the grid of the rate table, never colder than it was typed and less than 0.1 °C warmer', () => {
    fc.assert(
      fc.property(fc.integer({ min: -400, max: 1000 }), (tenths) => {
        const typed = String(tenths / 10);
        const exact = celsiusOf(typed, unit);
        const kept = gridCelsiusOf(typed, unit);
        expect(Math.abs(kept * 10 - Math.round(kept * 10))).toBeLessThan(1e-9);
        expect(kept).toBeGreaterThanOrEqual(exact - 1e-6);
        expect(kept - exact).toBeLessThan(0.1);
        // Shown and saved once more, it stays.
        expect(gridCelsiusOf(writtenCelsius(kept, unit), unit)).toBe(kept);
      }),
    );
  });
});

test.each([
  ['60', 15.6],
  ['50', 10],
  ['41', 5],
])('%s °F is kept as %d °C', (typed, celsius) => {
  expect(gridCelsiusOf(typed, 'F')).toBe(celsius);
});

test('rows of a table typed in °F land on the grid like the limits', () => {
  const points = [
    { temperature: '50', amount: '30' },
    { temperature: '60', amount: '20' },
    { temperature: '80', amount: '9' },
  ];
  const said = scheduleSaid({ ...draftOf(table, 'F'), floor: '50', reference: '60', points, fromMix: null }, table, 'F');
  const { law } = Schedule.parse(said);
  expect(law.kind === 'table' && law.points.map(({ celsius }) => celsius)).toEqual([10, 15.6, 26.7]);
});

test('the hours of a table at the reference are its own at a row, between two rows in between, and none beyond it', () => {
  const draft = draftOf(table, 'C');
  expect(tableHoursAtReference({ ...draft, reference: '12.5' }, 'C')).toBe(16.25);
  const between = tableHoursAtReference({ ...draft, reference: '10' }, 'C') ?? Number.NaN;
  expect(between).toBeGreaterThan(16.25);
  expect(between).toBeLessThan(30);
  for (const beyond of ['2', '31']) expect(tableHoursAtReference({ ...draft, reference: beyond }, 'C')).toBeNull();
  expect(tableHoursAtReference({ ...draft, reference: '' }, 'C')).toBeNull();
});

test('a source that was said of another law is stale, and one of the same law is not', () => {
  expect(isSourceStale({ ...polyester, law: q10.law }, polyester)).toBe(true);
  expect(isSourceStale({ ...polyester, law: q10.law, source: 'Sheet of the maker' }, polyester)).toBe(false);
  expect(isSourceStale({ ...polyester, gapLimitMinutes: 5 }, polyester)).toBe(false);
});

test('an empty field, a word and a figure that cannot be are each a fault at their place', () => {
  const draft = {
    ...draftOf(table, 'C'),
    floor: '',
    gapLimit: 'long',
    points: [
      { temperature: '5', amount: '30' },
      { temperature: '12.5', amount: '31' },
      { temperature: '10', amount: '8' },
    ],
    stages: [{ stage: 'Stress!', amount: '12' }],
  };
  const read = Schedule.safeParse(scheduleSaid(draft, { name: 'sheet', version: 2 }, 'C'));
  const paths = (read.error?.issues ?? []).map(({ path }) => path.join('.'));
  expect(paths).toEqual(
    expect.arrayContaining(['floorCelsius', 'gapLimitMinutes', 'law.points.1.hours', 'law.points.2.celsius', 'stages.0.stage']),
  );
});

test('a sealant sends nothing that counts from a mix, and another law nothing that waits for the front', () => {
  const said = (change: object) => scheduleSaid({ ...draftOf(polyester, 'C'), ...change }, polyester, 'C') as Partial<Schedule>;
  expect(said({ law: 'moisture' }).fromMix).toBeUndefined();
  expect(said({}).fromMix).toBeDefined();
  expect(said({ throughBead: 'hydro' }).throughBead).toBeUndefined();
  expect(said({ law: 'moisture', throughBead: 'hydro' }).throughBead).toBe('hydro');
});

test('a dose for a quart is the same dose for a litre', () => {
  const mix = polyester.mix;
  if (mix === undefined) throw new Error('the built-in laminate has lost its mix');
  const quart = mixDraftOf(mix, 'F');
  expect(quart.doses.map(({ temperature, amount }) => [temperature, amount])).toEqual([
    ['60', '15'],
    ['70', '10'],
    ['80', '5'],
  ]);
  const litre = inDoseUnit(quart, 'litre');
  // 15 mL in a US quart of 0.946 L.
  expect(Number(litre.doses[0]?.amount)).toBeCloseTo(15.85, 2);
  const dosesOf = (draft: typeof quart) => (mixRulesOf(draft, 'F') as typeof mix).doses.map((dose) => dose.millilitresPerLitre);
  for (const [index, dose] of dosesOf(litre).entries()) expect(dose).toBeCloseTo(dosesOf(quart)[index] ?? 0, 5);
});
