import fc from 'fast-check';
import type { Entry } from '../../edge/site/entries.ts';
import { entry, type Said } from './entriesOf.ts';

export const DAY = '2026-01-15';
export const clock = (minute: number) => new Date(Date.parse(`${DAY}T08:00:00Z`) + minute * 60_000).toISOString();

export const prep = (minute: number, more: object = {}): Said => ({
  kind: 'prep.signed',
  joint: 'j1',
  at: clock(minute),
  sanded: true,
  wiped: true,
  dry: true,
  ...more,
});

/** One quart with 15 mL, the trade's own dose [T], in the middle of the preferred band. */
export const mix = (minute: number, more: object = {}): Said => ({
  kind: 'mix.recorded',
  joint: 'j1',
  at: clock(minute),
  resin: { value: 1, unit: 'quart' },
  catalystMillilitres: 15,
  resinCelsius: 18,
  ...more,
});

export const laidUp = (minute: number): Said => ({ kind: 'joint.laidUp', joint: 'j1', at: clock(minute) });

export const proof = (
  minute: number,
  readings: readonly number[] | null,
  surface: 'firm' | 'tacky' | null,
  makerMinimum = 40,
): Said => ({
  kind: 'proof.recorded',
  joint: 'j1',
  at: clock(minute),
  ...(readings === null ? {} : { hardness: { readings, makerMinimum } }),
  ...(surface === null ? {} : { surface }),
});

/** Two points that read 0.4 °C too warm at ice and 0.6 °C at 40 °C. */
export const calibration = (warmBy = 0.6) => ({
  points: [
    { referenceCelsius: 0, indicatedCelsius: 0.4 },
    { referenceCelsius: 40, indicatedCelsius: 40 + warmBy },
  ],
  referenceUncertaintyCelsius: 0.1,
  reference: 'ice bath and glass thermometer',
  on: DAY,
  by: 'R. Oak',
});

const SHA256 = 'a5'.repeat(32);

/** A night at `lowCelsius` with a day to either side, from `minute` on. */
export const forecast = (minute: number, lowCelsius = -3, more: object = {}): Said => ({
  kind: 'forecast.given',
  hours: [
    { at: clock(minute), celsius: 6 },
    { at: clock(minute + 360), celsius: lowCelsius, humidity: 85.5 },
    { at: clock(minute + 720), celsius: 8.25 },
  ],
  source: 'the weather service',
  ...more,
});

export const booked = (due: number, activity = 'water-test', more: object = {}): Said => ({
  kind: 'booking.made',
  sump: 's1',
  activity,
  due: clock(due),
  ...more,
});

export const cancelled = (activity = 'water-test'): Said => ({ kind: 'booking.cancelled', sump: 's1', activity });

/** `of` is a joint or a sump. */
export const heating = (minute: number, on: boolean, of: object = { joint: 'j1' }, more: object = {}): Said => ({
  kind: 'heating.changed',
  ...of,
  what: 'heater',
  on,
  at: clock(minute),
  ...more,
});

export const WARNING = 'cold-ahead:j1:1768467600000';

/** The program warns of a cold night on `j1`. */
export const warned: Said = {
  kind: 'warning.raised',
  warning: WARNING,
  code: 'cold-ahead',
  owner: 'j1',
  numbers: { lowMilliC: -3000 },
};

export const acknowledged = (more: object = {}): Said => ({ kind: 'warning.acknowledged', warning: WARNING, ...more });
export const snoozed = (until: number): Said => ({ kind: 'warning.snoozed', warning: WARNING, until: clock(until) });

/** One of everything that can be said and taken back, about what `usual` has. */
export const revocable: readonly ((minute: number) => Said)[] = [
  prep,
  mix,
  laidUp,
  (minute) => ({ kind: 'joint.relaid', joint: 'j1', at: clock(minute), reason: 'dry fibres', lost: ['stress'] }),
  (minute) => ({ kind: 'joint.assigned', joint: 'j1', probes: ['p2'], at: clock(minute) }),
  () => ({ kind: 'joint.assigned', joint: 'j1', probes: ['p1'], ambient: 'air' }),
  (minute) => proof(minute, [40, 41], 'firm'),
  (minute) => proof(minute, [20], 'tacky'),
  (minute) => ({ kind: 'rain.noted', at: clock(minute) }),
  (minute) => ({ kind: 'rain.noted', at: clock(minute), until: clock(minute + 20), sump: 's1' }),
  (minute) => ({ kind: 'rain.ended', at: clock(minute) }),
  (minute) => ({ kind: 'finding.decided', finding: 'gap:j1:t1', decision: 'accept', reason: `at ${minute}` }),
  (minute) => ({ kind: 'finding.decided', finding: 'gap:j1:t1', decision: 'redo', reason: `at ${minute}` }),
  (minute) => ({ kind: 'hold.signed', sump: 's1', hold: 'look', at: clock(minute) }),
  (minute) => ({ kind: 'activity.started', sump: 's1', activity: 'water-test', at: clock(minute) }),
  (minute) => ({
    kind: 'activity.started',
    sump: 's1',
    activity: 'backfill',
    at: clock(minute),
    reason: 'rain is coming',
    early: [{ need: 'no water test is passed', missingHours: null }],
  }),
  (minute) => ({ kind: 'activity.done', sump: 's1', activity: 'backfill', at: clock(minute) }),
  (minute) => ({
    kind: 'hydrotest.recorded',
    sump: 's1',
    method: 'full-height',
    fillAboveHighest: { value: 4, unit: 'in' },
    filledAt: clock(minute),
    startedAt: clock(minute + 15),
    endedAt: clock(minute + 75),
    byHand: { start: { value: 40, unit: 'in' }, end: { value: 40, unit: 'in' }, resolution: { value: 0.0625, unit: 'in' } },
  }),
  (minute) => ({ kind: 'probe.registered', probe: 'p1', role: 'material', label: `Flange ${minute}`, uncertaintyCelsius: 0.1 }),
  () => ({ kind: 'probe.registered', probe: 'p2', role: 'material', sensor: { kind: 'pt100', tolerance: 'A' } }),
  (minute) => ({ kind: 'calibration.recorded', probe: 'p1', at: clock(minute), calibration: calibration() }),
  (minute) => ({
    kind: 'probe.mapped',
    probe: 'p1',
    topic: `shed/${minute % 3}`,
    fields: [{ pointer: '/t', quantity: 'temperature', unit: 'Cel' }],
  }),
  (minute) => ({
    kind: 'readings.imported',
    probe: 'p1',
    source: `p1#${String(minute).padStart(12, '0')}`,
    file: 'logger.csv',
    sha256: SHA256,
    rows: 10,
    rejected: 0,
    from: clock(minute),
    to: clock(minute + 10),
  }),
  (minute) => forecast(minute),
  (minute) => forecast(minute, 2, { source: 'by hand' }),
  (minute) => booked(2000 + minute),
  (minute) => booked(3000 + minute, 'backfill', { note: 'pump truck' }),
  () => cancelled(),
  (minute) => heating(minute, true),
  (minute) => heating(minute, false),
  (minute) => heating(minute, true, { sump: 's1' }, { what: 'cover' }),
  (minute) => heating(minute, true, { sump: 's1' }, { holdCelsius: 20 }),
  () => acknowledged(),
  (minute) => snoozed(1000 + minute),
  (minute) => ({ kind: 'note.added', text: `Heater on at ${minute}`, joint: 'j1' }),
  () => ({ kind: 'note.added', text: 'Lid ajar', sump: 's1' }),
  () => ({ kind: 'note.added', text: 'Wet ground' }),
];

/** Random work, each thing said at a time of its own, put on record in this order. */
export const histories: fc.Arbitrary<Entry[]> = fc
  .array(fc.tuple(fc.nat({ max: revocable.length - 1 }), fc.integer({ min: 0, max: 600 })), { minLength: 1, maxLength: 12 })
  .map((said) =>
    said.map(([which, minute], index) => {
      const make = revocable[which] as (minute: number) => Said;
      return entry(make(minute), clock(700 + index));
    }),
  );
