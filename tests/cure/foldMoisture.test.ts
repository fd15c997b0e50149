import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { Fold, type FoldSpec, foldAll, type Lane, type LaneReadings, type Piece } from '../../edge/cure/fold.ts';
import { frontMillimetres, type MoistureLaw } from '../../edge/cure/law.ts';
import { compileRateTable } from '../../edge/cure/rateTable.ts';
import { HOUR_MS, hoursOf, PPM, requiredPpmMs, type Schedule, stagesFor } from '../../edge/cure/schedule.ts';
import { plainPascal } from './laws.ts';

const MINUTE_MS = 60_000;
const START_MS = Date.UTC(2026, 0, 15, 8);
const sealant = builtInSchedules.find((schedule) => schedule.name === 'sealant-bead') as Schedule;
const table = compileRateTable(sealant);

const lane = (probe: string, role: Lane['role'], changes: Partial<Lane> = {}): Lane => ({
  probe,
  role,
  guardMilliC: 0,
  fromMs: Number.NEGATIVE_INFINITY,
  untilMs: Number.POSITIVE_INFINITY,
  ...changes,
});
const AIR = lane('air', 'ambient');
const HUMIDITY = lane('air', 'humidity');
const BEAD = lane('m1', 'material');

function specOf(lanes: readonly Lane[], beadMillimetres: number | null = null): FoldSpec {
  return {
    startMs: START_MS,
    gapLimitMs: 15 * MINUTE_MS,
    ambientStandIn: false,
    table,
    lanes,
    stages: stagesFor(sealant, beadMillimetres).map(({ stage, requiredHours }) => ({
      stage,
      requiredPpmMs: requiredPpmMs(requiredHours),
    })),
  };
}

/** `[minute, value]`: °C, or %RH on a humidity lane. */
function at(...readings: readonly (readonly [number, number])[]): LaneReadings {
  return {
    atMs: readings.map(([minute]) => START_MS + minute * MINUTE_MS),
    milliC: readings.map(([, value]) => Math.round(value * 1000)),
  };
}

function every(stepMinutes: number, fromMinute: number, toMinute: number, value: number): LaneReadings {
  const count = Math.floor((toMinute - fromMinute) / stepMinutes) + 1;
  return at(...Array.from({ length: count }, (_, index) => [fromMinute + index * stepMinutes, value] as const));
}

const creditOf = (spec: FoldSpec, ...readings: LaneReadings[]) => foldAll(spec, readings).state.creditPpmMs;

describe('a moisture law asks for the air itself', () => {
  const both = specOf([AIR, HUMIDITY]);

  test('temperature and humidity of the air, live both, earn; either alone earns nothing and proves nothing', () => {
    const [warm, moist, none] = [every(10, 0, 120, 20), every(10, 0, 120, 50), at()];
    expect(creditOf(both, warm, moist)).toBe(2 * HOUR_MS * PPM);
    expect(foldAll(both, [warm, none]).state).toMatchObject({ creditPpmMs: 0, unprovenMs: 2 * HOUR_MS, coldMs: 0 });
    expect(foldAll(both, [none, moist]).state).toMatchObject({ creditPpmMs: 0, unprovenMs: 2 * HOUR_MS, coldMs: 0 });
    expect(foldAll(specOf([BEAD, AIR, HUMIDITY]), [warm, none, moist]).state.creditPpmMs).toBe(0);
  });

  test('it needs no leave for an ambient probe, and its hours are not provisional', () => {
    const { state } = foldAll(both, [every(10, 0, 120, 20), every(10, 0, 120, 50)]);
    expect(state.provisionalPpmMs).toBe(0);
  });

  test('a humidity that falls silent stops the credit at its last reading', () => {
    const { state } = foldAll(both, [every(10, 0, 240, 20), every(10, 0, 60, 50)]);
    expect(state).toMatchObject({ creditPpmMs: HOUR_MS * PPM, unprovenMs: 3 * HOUR_MS });
  });

  test('between two readings the colder and the drier end count, whichever end it is', () => {
    const cold = creditOf(both, at([0, 10], [10, 10]), at([0, 50], [10, 50]));
    expect(creditOf(both, at([0, 10], [10, 20]), at([0, 50], [10, 50]))).toBe(cold);
    expect(creditOf(both, at([0, 20], [10, 10]), at([0, 50], [10, 50]))).toBe(cold);
    const dry = creditOf(both, at([0, 20], [10, 20]), at([0, 30], [10, 30]));
    expect(dry).toBe(0.6 * 10 * MINUTE_MS * PPM);
    expect(creditOf(both, at([0, 20], [10, 20]), at([0, 30], [10, 50]))).toBe(dry);
    expect(creditOf(both, at([0, 20], [10, 20]), at([0, 50], [10, 30]))).toBe(dry);
  });

  test('guard bands are taken off the temperature and off the humidity', () => {
    const guarded = specOf([
      { ...AIR, guardMilliC: 500 },
      { ...HUMIDITY, guardMilliC: 3000 },
    ]);
    const asIfColderAndDrier = creditOf(both, every(10, 0, 60, 14.5), every(10, 0, 60, 42));
    expect(creditOf(guarded, every(10, 0, 60, 15), every(10, 0, 60, 45))).toBe(asIfColderAndDrier);
    expect(asIfColderAndDrier).toBeGreaterThan(0);
  });

  test('below the floor of 5 °C it is cold, however moist', () => {
    expect(foldAll(both, [every(10, 0, 60, 4.999), every(10, 0, 60, 100)]).state).toMatchObject({
      creditPpmMs: 0,
      coldMs: HOUR_MS,
    });
  });

  test('moister and warmer than the reference is capped: warm hours never exceed clock hours', () => {
    expect(creditOf(both, every(10, 0, 60, 30), every(10, 0, 60, 95))).toBe(HOUR_MS * PPM);
  });
});

describe('a joint with a probe of its own', () => {
  const spec = specOf([BEAD, AIR, HUMIDITY]);

  test('the colder of bead and air governs', () => {
    const moist = every(10, 0, 60, 50);
    const cold = creditOf(specOf([AIR, HUMIDITY]), every(10, 0, 60, 12), moist);
    expect(creditOf(spec, every(10, 0, 60, 12), every(10, 0, 60, 18), moist)).toBe(cold);
    expect(creditOf(spec, every(10, 0, 60, 18), every(10, 0, 60, 12), moist)).toBe(cold);
    const governing: number[] = [];
    const note = (piece: Piece) => governing.push(piece.lane);
    foldAll(spec, [at([0, 12], [10, 12]), at([0, 18], [10, 18]), at([0, 50], [10, 50])], note);
    foldAll(spec, [at([0, 18], [10, 18]), at([0, 12], [10, 12]), at([0, 50], [10, 50])], note);
    expect(governing).toEqual([0, 1]);
  });

  test('a silent material probe stops the credit, though the air is live', () => {
    const { state } = foldAll(spec, [every(10, 0, 60, 20), every(10, 0, 240, 20), every(10, 0, 240, 50)]);
    expect(state).toMatchObject({ creditPpmMs: HOUR_MS * PPM, unprovenMs: 3 * HOUR_MS });
  });

  test('it is asked for from the moment that it was put on the joint, not from the next reading of the air', () => {
    const fromMs = START_MS + 65 * MINUTE_MS;
    const later = specOf([{ ...BEAD, fromMs }, AIR, HUMIDITY]);
    const silent = foldAll(later, [at(), every(10, 0, 120, 20), every(10, 0, 120, 50)]).state;
    expect(silent).toMatchObject({ creditPpmMs: 65 * MINUTE_MS * PPM, unprovenMs: 55 * MINUTE_MS });
    const gone = specOf([{ ...BEAD, untilMs: fromMs }, AIR, HUMIDITY]);
    expect(foldAll(gone, [at(), every(10, 0, 120, 20), every(10, 0, 120, 50)]).state).toMatchObject({
      creditPpmMs: 55 * MINUTE_MS * PPM,
      unprovenMs: 65 * MINUTE_MS,
    });
  });

  test('settled time waits for a humidity that may yet prove something drier', () => {
    const fold = new Fold(specOf([AIR, HUMIDITY]));
    for (const minute of [0, 10, 20]) fold.offer(0, START_MS + minute * MINUTE_MS, 20_000);
    for (const minute of [0, 10]) fold.offer(1, START_MS + minute * MINUTE_MS, 50_000);
    fold.advance();
    expect(fold.state.frontierMs).toBe(START_MS + 10 * MINUTE_MS);
    expect(fold.offer(1, START_MS + 20 * MINUTE_MS, 10_000)).toBe(true);
    fold.advance();
    expect(fold.state.creditPpmMs).toBe((10 + 2) * MINUTE_MS * PPM);
    expect(fold.offer(1, START_MS + 15 * MINUTE_MS, 0)).toBe(false);
  });
});

describe('stages of a bead', () => {
  const readings = (minutes: number) => [every(10, 0, minutes, 20), every(10, 0, minutes, 50)] as const;

  test('at the reference a bead of 3 mm is through after exactly 24 h, one of 6 mm after 96 h', () => {
    const reached = (bead: number | null, hours: number) =>
      foldAll(specOf([AIR, HUMIDITY], bead), [...readings(hours * 60)]).state.reached.map(({ stage, reachedAtMs }) => [
        stage,
        (reachedAtMs - START_MS) / HOUR_MS,
      ]);
    expect(reached(null, 24)).toEqual([
      ['stress', 12],
      ['hydro', 24],
    ]);
    expect(reached(6, 95)).toEqual([['stress', 12]]);
    expect(reached(6, 96)).toEqual([
      ['stress', 12],
      ['hydro', 96],
    ]);
  });

  test('half the moisture takes twice the time, and the front is where the square root says', () => {
    const { state } = foldAll(specOf([AIR, HUMIDITY]), [every(10, 0, 48 * 60, 20), every(10, 0, 48 * 60, 25)]);
    expect(hoursOf(state.creditPpmMs)).toBe(24);
    expect(frontMillimetres(sealant.law as MoistureLaw, hoursOf(state.creditPpmMs))).toBe(3);
  });
});

/** A quantity that moves one way between neighbouring readings. */
const knots = fc.array(
  fc.record({
    stepMs: fc.integer({ min: 1000, max: 1_000_000 }),
    milliC: fc.integer({ min: 3000, max: 32_000 }),
    beadMilliC: fc.integer({ min: 3000, max: 32_000 }),
    milliPercent: fc.integer({ min: 5000, max: 100_000 }),
    power: fc.double({ min: 0.2, max: 5, noNaN: true }),
  }),
  { minLength: 2, maxLength: 8 },
);

test('credited hours never exceed the integral of min(1, p/p of the reference), whatever the air did between readings', () => {
  const STEPS = 200;
  const referencePascal = 0.5 * plainPascal(20);
  let credited = 0;
  fc.assert(
    fc.property(knots, fc.boolean(), (steps, hasBead) => {
      let atMs = START_MS;
      const instants = steps.map(({ stepMs }, index) => {
        if (index > 0) atMs += stepMs;
        return atMs;
      });
      const between = (index: number, share: number, of: (knot: (typeof steps)[number]) => number) => {
        const [from, to] = [of(steps[index] as never), of(steps[index + 1] as never)];
        return (from + (to - from) * share ** (steps[index + 1]?.power ?? 1)) / 1000;
      };
      let earnedMs = 0;
      for (let index = 0; index + 1 < steps.length; index++) {
        const spanMs = (instants[index + 1] as number) - (instants[index] as number);
        if (spanMs > 900_000) continue;
        for (let step = 0; step < STEPS; step++) {
          // From below: each short step at the coldest and the driest of its two ends.
          const least = (of: (knot: (typeof steps)[number]) => number) =>
            Math.min(between(index, step / STEPS, of), between(index, (step + 1) / STEPS, of));
          const air = least(({ milliC }) => milliC);
          const celsius = hasBead
            ? Math.min(
                air,
                least(({ beadMilliC }) => beadMilliC),
              )
            : air;
          const pascal = (plainPascal(celsius) * least(({ milliPercent }) => milliPercent)) / 100;
          earnedMs += celsius < 5 ? 0 : (Math.min(1, pascal / referencePascal) * spanMs) / STEPS;
        }
      }
      const of = (value: (knot: (typeof steps)[number]) => number): LaneReadings => ({
        atMs: instants,
        milliC: steps.map(value),
      });
      const air = [of(({ milliC }) => milliC), of(({ milliPercent }) => milliPercent)];
      const { state } = hasBead
        ? foldAll(specOf([BEAD, AIR, HUMIDITY]), [of(({ beadMilliC }) => beadMilliC), ...air])
        : foldAll(specOf([AIR, HUMIDITY]), air);
      expect(state.creditPpmMs).toBeLessThanOrEqual(earnedMs * PPM * (1 + 1e-9));
      expect(state.creditPpmMs).toBeLessThanOrEqual((state.frontierMs - START_MS) * PPM);
      if (state.creditPpmMs > 0) credited++;
    }),
    { numRuns: 600 },
  );
  expect(credited).toBeGreaterThan(300);
});
