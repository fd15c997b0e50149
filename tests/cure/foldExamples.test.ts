import { describe, expect, test } from 'vitest';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import {
  CREDIT_CEILING_PPM_MS,
  Fold,
  type FoldSpec,
  foldAll,
  type Lane,
  type LaneReadings,
  type Piece,
} from '../../edge/cure/fold.ts';
import { compileRateTable } from '../../edge/cure/rateTable.ts';
import { HOUR_MS, hoursOf, PPM, requiredPpmMs, type Schedule } from '../../edge/cure/schedule.ts';

const MINUTE_MS = 60_000;
const START_MS = Date.UTC(2026, 0, 15, 20, 0);
const laminate = builtInSchedules.find((schedule) => schedule.name === 'polyester-laminate') as Schedule;

function lane(probe: string, changes: Partial<Lane> = {}): Lane {
  return {
    probe,
    role: 'material',
    guardMilliC: 0,
    fromMs: Number.NEGATIVE_INFINITY,
    untilMs: Number.POSITIVE_INFINITY,
    ...changes,
  };
}

function specOf(lanes: readonly Lane[], changes: Partial<FoldSpec> = {}): FoldSpec {
  return {
    startMs: START_MS,
    gapLimitMs: 15 * MINUTE_MS,
    ambientStandIn: false,
    table: compileRateTable(laminate),
    lanes,
    stages: [
      { stage: 'stress', requiredPpmMs: requiredPpmMs(12) },
      { stage: 'hydro', requiredPpmMs: requiredPpmMs(24) },
    ],
    ...changes,
  };
}

/** Readings of one value, `[minute, celsius]` each, minutes counted from the start. */
function at(...readings: readonly (readonly [number, number])[]): LaneReadings {
  return {
    atMs: readings.map(([minute]) => START_MS + Math.round(minute * MINUTE_MS)),
    milliC: readings.map(([, celsius]) => Math.round(celsius * 1000)),
  };
}

/** One reading a minute at `celsius`, both ends included. */
function everyMinute(fromMinute: number, toMinute: number, celsius: number): LaneReadings {
  return at(...Array.from({ length: toMinute - fromMinute + 1 }, (_, index) => [fromMinute + index, celsius] as const));
}

function joined(...parts: readonly LaneReadings[]): LaneReadings {
  return { atMs: parts.flatMap((part) => Array.from(part.atMs)), milliC: parts.flatMap((part) => Array.from(part.milliC)) };
}

function hours(state: { creditPpmMs: number }): number {
  return hoursOf(state.creditPpmMs);
}

describe('the gap limit', () => {
  test('a gap exactly at the limit earns; one millisecond beyond earns nothing', () => {
    const limit = specOf([lane('m1')]);
    expect(foldAll(limit, [at([0, 12], [15, 12])]).state).toMatchObject({ creditPpmMs: 15 * MINUTE_MS * PPM, unprovenMs: 0 });
    const beyond = at([0, 12], [15, 12]);
    const { state } = foldAll(limit, [{ ...beyond, atMs: [START_MS, START_MS + 15 * MINUTE_MS + 1] }]);
    expect(state).toMatchObject({ creditPpmMs: 0, unprovenMs: 15 * MINUTE_MS + 1, frontierMs: START_MS + 15 * MINUTE_MS + 1 });
  });

  test('nothing is drawn across a hole between two warm ends', () => {
    const { state } = foldAll(specOf([lane('m1')]), [joined(everyMinute(0, 60, 20), everyMinute(180, 240, 20))]);
    expect(hours(state)).toBe(2);
    expect(state.unprovenMs).toBe(2 * HOUR_MS);
  });

  test('the time since the last reading earns nothing until the next one proves it', () => {
    const fold = new Fold(specOf([lane('m1')]));
    fold.offer(0, START_MS, 20_000);
    fold.advance();
    expect(fold.state.creditPpmMs).toBe(0);
    fold.offer(0, START_MS + 10 * MINUTE_MS, 20_000);
    fold.advance();
    expect(fold.state.creditPpmMs).toBe(10 * MINUTE_MS * PPM);
  });
});

describe('the start', () => {
  test('credit begins at the start, also within an interval that began before it', () => {
    const { state } = foldAll(specOf([lane('m1')]), [at([-10, 20], [4, 20], [9, 20])]);
    expect(state.creditPpmMs).toBe(9 * MINUTE_MS * PPM);
  });

  test('readings from before the start alone settle nothing', () => {
    const { state } = foldAll(specOf([lane('m1')]), [everyMinute(-60, -1, 20)]);
    expect(state).toMatchObject({ frontierMs: START_MS, creditPpmMs: 0, unprovenMs: 0 });
  });

  test('time between the start and the first reading is unproven', () => {
    const { state } = foldAll(specOf([lane('m1')]), [everyMinute(30, 60, 20)]);
    expect(state).toMatchObject({ creditPpmMs: 30 * MINUTE_MS * PPM, unprovenMs: 30 * MINUTE_MS });
  });
});

describe('who governs', () => {
  test('the colder end counts for the whole interval, whichever end it is', () => {
    const table = compileRateTable(laminate);
    for (const readings of [at([0, 7], [10, 12]), at([0, 12], [10, 7])])
      expect(foldAll(specOf([lane('m1')]), [readings]).state.creditPpmMs).toBe((table.ratesPpm[20] as number) * 10 * MINUTE_MS);
  });

  test('the coldest of the live probes governs, after its own guard band', () => {
    const pieces: Piece[] = [];
    // 8.2 °C less 0.2 is 8.0; 8.3 °C less 0.5 is 7.8: the second probe governs although it reads warmer.
    const spec = specOf([lane('m1', { guardMilliC: 200 }), lane('m2', { guardMilliC: 500 })]);
    foldAll(spec, [at([0, 8.2], [10, 8.2]), at([0, 8.3], [10, 8.3])], (piece) => pieces.push(piece));
    expect(pieces.map(({ lane: governing, ratePpm }) => ({ governing, ratePpm }))).toEqual([
      { governing: 1, ratePpm: spec.table.ratesPpm[28] },
    ]);
  });

  test('a probe that falls silent governs to its last reading; the others go on without it', () => {
    const { state } = foldAll(specOf([lane('m1'), lane('m2')]), [everyMinute(0, 120, 20), everyMinute(0, 60, 0)]);
    expect(state).toMatchObject({ coldMs: HOUR_MS, creditPpmMs: HOUR_MS * PPM });
  });

  test('settled time waits for a probe that may yet prove something colder, no longer than the gap limit', () => {
    const spec = specOf([lane('m1'), lane('m2')]);
    const settledTo = (minute: number) =>
      (foldAll(spec, [everyMinute(0, minute, 20), everyMinute(0, 60, 20)]).state.frontierMs - START_MS) / MINUTE_MS;
    expect(settledTo(61)).toBe(60);
    expect(settledTo(75)).toBe(60);
    expect(settledTo(76)).toBe(76);
  });

  test('an ambient probe stands in only where it may, and only where no material probe is live', () => {
    const lanes = [lane('m1'), lane('a1', { role: 'ambient' })];
    const readings = [joined(everyMinute(0, 60, 20), everyMinute(180, 240, 20)), everyMinute(0, 240, 20)];
    expect(foldAll(specOf(lanes), readings).state).toMatchObject({
      creditPpmMs: 2 * HOUR_MS * PPM,
      provisionalPpmMs: 0,
      unprovenMs: 2 * HOUR_MS,
    });
    expect(foldAll(specOf(lanes, { ambientStandIn: true }), readings).state).toMatchObject({
      creditPpmMs: 4 * HOUR_MS * PPM,
      provisionalPpmMs: 2 * HOUR_MS * PPM,
      unprovenMs: 0,
    });
  });

  test('cold air does not hold back a joint whose own probe is warm', () => {
    const lanes = [lane('m1'), lane('a1', { role: 'ambient' })];
    const { state } = foldAll(specOf(lanes, { ambientStandIn: true }), [everyMinute(0, 60, 20), everyMinute(0, 60, -10)]);
    expect(state).toMatchObject({ creditPpmMs: HOUR_MS * PPM, provisionalPpmMs: 0, coldMs: 0 });
  });
});

describe('lanes', () => {
  test('nothing is credited across a seam between two lanes of one probe', () => {
    const seamMs = START_MS + 30 * MINUTE_MS;
    const readings = everyMinute(0, 60, 20);
    const { state } = foldAll(specOf([lane('m1', { untilMs: seamMs }), lane('m1', { fromMs: seamMs })]), [readings, readings]);
    // The last reading before the seam is at minute 29, the first of the new lane at minute 30.
    expect(state).toMatchObject({ creditPpmMs: 59 * MINUTE_MS * PPM, unprovenMs: MINUTE_MS });
  });

  test('a lane that has ended does not hold settled time back', () => {
    const endMs = START_MS + 30 * MINUTE_MS;
    const { state } = foldAll(specOf([lane('m1', { untilMs: endMs }), lane('m2')]), [
      everyMinute(0, 29, 20),
      everyMinute(0, 31, 20),
    ]);
    expect(state.frontierMs).toBe(START_MS + 31 * MINUTE_MS);
  });
});

describe('stages', () => {
  test('a stage is reached in the first millisecond in which the credit is at least the requirement', () => {
    // At 5.0 °C the rate is the table's first row; 1 000 000 ppm·ms more than a whole number of its milliseconds.
    const ratePpm = compileRateTable(laminate).ratesPpm[0] as number;
    const instant = (requiredPpm: number) =>
      foldAll(specOf([lane('m1')], { stages: [{ stage: 's', requiredPpmMs: requiredPpm }] }), [at([0, 5], [10, 5])]).state
        .reached[0]?.reachedAtMs;
    expect(instant(ratePpm * 1000)).toBe(START_MS + 1000);
    expect(instant(ratePpm * 1000 + 1)).toBe(START_MS + 1001);
    expect(instant(ratePpm * 1000 - 1)).toBe(START_MS + 1000);
    expect(instant(ratePpm * 10 * MINUTE_MS)).toBe(START_MS + 10 * MINUTE_MS);
    expect(instant(ratePpm * 10 * MINUTE_MS + 1)).toBeUndefined();
  });

  test('at the reference, 12 and 24 h are reached after 12 and 24 h on the clock, named by the readings that prove them', () => {
    const { state } = foldAll(specOf([lane('m1')]), [everyMinute(0, 24 * 60, 10)]);
    expect(state.reached).toEqual([
      {
        stage: 'stress',
        reachedAtMs: START_MS + 12 * HOUR_MS,
        provenBy: { probe: 'm1', atMs: START_MS + 12 * HOUR_MS },
        provisionalPpmMs: 0,
      },
      {
        stage: 'hydro',
        reachedAtMs: START_MS + 24 * HOUR_MS,
        provenBy: { probe: 'm1', atMs: START_MS + 24 * HOUR_MS },
        provisionalPpmMs: 0,
      },
    ]);
  });

  test('several stages within one interval are reached in their order, proven by the same reading', () => {
    const stages = [4, 1, 9].map((minutes) => ({ stage: `after-${minutes}`, requiredPpmMs: minutes * MINUTE_MS * PPM }));
    const { state } = foldAll(specOf([lane('m1')], { stages }), [at([0, 12], [10, 12])]);
    const minutes = Object.fromEntries(
      state.reached.map(({ stage, reachedAtMs }) => [stage, (reachedAtMs - START_MS) / MINUTE_MS]),
    );
    expect(minutes).toEqual({ 'after-1': 1, 'after-4': 4, 'after-9': 9 });
    expect(new Set(state.reached.map(({ provenBy }) => provenBy.atMs))).toEqual(new Set([START_MS + 10 * MINUTE_MS]));
  });

  test('a stage keeps how much of its credit only an ambient probe stood for', () => {
    const lanes = [lane('m1'), lane('a1', { role: 'ambient' })];
    const { state } = foldAll(specOf(lanes, { ambientStandIn: true }), [
      joined(everyMinute(0, 600, 12), everyMinute(780, 1600, 12)),
      everyMinute(0, 1600, 12),
    ]);
    // 10 h from the material probe, then the air alone: stress comes 2 h into its stretch of 3 h.
    expect(state.reached.map(({ stage, provisionalPpmMs }) => [stage, hoursOf(provisionalPpmMs)])).toEqual([
      ['stress', 2],
      ['hydro', 3],
    ]);
    expect(state.reached[0]?.provenBy).toEqual({ probe: 'a1', atMs: START_MS + 12 * HOUR_MS });
  });
});

describe('late readings', () => {
  test('a probe that buffered through a dropout is refused by settled time and counted in its own time afterwards', () => {
    const spec = specOf([lane('m1'), lane('m2')]);
    const live = everyMinute(0, 180, 20);
    const buffered = everyMinute(0, 180, 7);
    const fold = new Fold(spec);
    for (let minute = 0; minute <= 180; minute++) {
      expect(fold.offer(0, START_MS + minute * MINUTE_MS, 20_000)).toBe(true);
      if (minute <= 60) expect(fold.offer(1, START_MS + minute * MINUTE_MS, 7000)).toBe(true);
      fold.advance();
    }
    const before = structuredClone(fold.state);
    expect(fold.offer(1, START_MS + 61 * MINUTE_MS, 7000)).toBe(false);
    expect(fold.state).toEqual(before);

    const afresh = foldAll(spec, [live, buffered]).state;
    const rate = (spec.table.ratesPpm[20] as number) / PPM;
    expect(hours(afresh)).toBeCloseTo(3 * rate, 9);
    // Before they came, two hours had been credited in full on the word of the other probe.
    expect(hours(before)).toBeCloseTo(rate + 2, 9);
  });

  test('late readings that touch nothing settled are taken as they are', () => {
    const spec = specOf([lane('m1'), lane('m2')]);
    const fold = new Fold(spec);
    fold.offer(0, START_MS, 20_000);
    fold.offer(1, START_MS, 20_000);
    fold.offer(0, START_MS + 10 * MINUTE_MS, 20_000);
    fold.advance();
    expect(fold.state.frontierMs).toBe(START_MS);
    expect(fold.offer(1, START_MS + 5 * MINUTE_MS, 7000)).toBe(true);
    fold.advance();
    expect(fold.state).toEqual(foldAll(spec, [at([0, 20], [10, 20]), at([0, 20], [5, 7])]).state);
  });

  test('one that lies beyond settled time but reaches back into it, as far as the gap limit, is refused', () => {
    const spec = specOf([lane('m1'), lane('m2'), lane('m3')]);
    const settled = () => {
      const fold = new Fold(spec);
      for (const [probe, minute] of [
        [0, 0],
        [1, 0],
        [2, 0],
        [1, 10],
        [2, 10],
        [1, 20],
      ] as const)
        fold.offer(probe, START_MS + minute * MINUTE_MS, 20_000);
      fold.advance();
      return fold;
    };
    // The first probe has been silent for 20 minutes, so time is settled to the third one's last reading, at minute 10.
    expect(settled().state.frontierMs).toBe(START_MS + 10 * MINUTE_MS);
    expect(settled().offer(0, START_MS + 12 * MINUTE_MS, 0)).toBe(false);
    expect(settled().offer(0, START_MS + 15 * MINUTE_MS, 0)).toBe(false);
    expect(settled().offer(0, START_MS + 15 * MINUTE_MS + 1, 0)).toBe(true);
  });

  test('a reading twice, or before its lane’s newest, is refused and changes nothing', () => {
    const fold = new Fold(specOf([lane('m1')]));
    fold.offer(0, START_MS + MINUTE_MS, 20_000);
    const before = structuredClone(fold.state);
    expect(fold.offer(0, START_MS + MINUTE_MS, 20_000)).toBe(false);
    expect(fold.offer(0, START_MS, 20_000)).toBe(false);
    expect(fold.state).toEqual(before);
  });
});

test('credit stops at its ceiling, far beyond any stage, so that it stays an exact integer', () => {
  const everyFourHours = Array.from({ length: 526 }, (_, index) => [index * 240, 20] as const);
  const { state } = foldAll(specOf([lane('m1')], { gapLimitMs: 240 * MINUTE_MS }), [at(...everyFourHours)]);
  expect(state.creditPpmMs).toBe(CREDIT_CEILING_PPM_MS);
  expect(hours(state)).toBe(2000);
  expect(Number.isSafeInteger(CREDIT_CEILING_PPM_MS + 240 * MINUTE_MS * PPM)).toBe(true);
});
