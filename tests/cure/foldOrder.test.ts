import fc from 'fast-check';
import { expect, test } from 'vitest';
import { Caller, foldReadings } from './caller.ts';
import { histories } from './histories.ts';

/** What happens after each reading: settle, keep the state as text, get the same reading again. */
const happenings = fc.record({
  delay: fc.oneof(
    { weight: 5, arbitrary: fc.constant(0) },
    { weight: 3, arbitrary: fc.double({ min: 0, max: 2, noNaN: true }) },
    { weight: 1, arbitrary: fc.double({ min: 2, max: 30, noNaN: true }) },
  ),
  advance: fc.boolean(),
  keep: fc.integer({ min: 0, max: 4 }).map((die) => die === 0),
  again: fc.integer({ min: 0, max: 4 }).map((die) => die === 0),
});

test('in whatever order readings come, and however often they are settled and kept, the state is that of one fold of them all', () => {
  let incremental = 0;
  let afresh = 0;
  fc.assert(
    fc.property(histories, fc.array(happenings, { minLength: 100, maxLength: 100 }), ({ spec, readings }, plan) => {
      const arrivals = readings
        .map((reading, index) => ({ reading, ...(plan[index] as (typeof plan)[number]) }))
        .sort((a, b) => a.reading.atMs + a.delay * spec.gapLimitMs - (b.reading.atMs + b.delay * spec.gapLimitMs));
      const caller = new Caller(spec);
      for (const { reading, advance, keep, again } of arrivals) {
        caller.take(reading);
        if (again) caller.take(reading);
        if (advance) caller.fold.advance();
        if (keep) caller.keepAndTakeUp();
      }
      caller.fold.advance();
      expect(caller.fold.state).toEqual(foldReadings(spec, readings).state);
      incremental += caller.incremental;
      afresh += caller.afresh;
    }),
    { numRuns: 3000 },
  );
  // Both ways were walked often, so the comparison above means something.
  expect(incremental).toBeGreaterThan(3000);
  expect(afresh).toBeGreaterThan(300);
});

test('wholly shuffled readings give the same state too', () => {
  const shuffled = histories.chain(({ spec, readings }) =>
    fc.record({
      spec: fc.constant(spec),
      readings: fc.constant(readings),
      order: fc.shuffledSubarray([...readings], { minLength: readings.length }),
      settleEvery: fc.integer({ min: 1, max: 5 }),
    }),
  );
  fc.assert(
    fc.property(shuffled, ({ spec, readings, order, settleEvery }) => {
      const caller = new Caller(spec);
      order.forEach((reading, index) => {
        caller.take(reading);
        if (index % settleEvery === 0) caller.fold.advance();
      });
      caller.fold.advance();
      expect(caller.fold.state).toEqual(foldReadings(spec, readings).state);
    }),
    { numRuns: 1500 },
  );
});

test('settling twice changes nothing, and settled time never shrinks', () => {
  fc.assert(
    fc.property(histories, ({ spec, readings }) => {
      const caller = new Caller(spec);
      let frontierMs = spec.startMs;
      for (const reading of [...readings].sort((a, b) => a.atMs - b.atMs)) {
        caller.take(reading);
        caller.fold.advance();
        const once = structuredClone(caller.fold.state);
        caller.fold.advance();
        expect(caller.fold.state).toEqual(once);
        expect(once.frontierMs).toBeGreaterThanOrEqual(frontierMs);
        frontierMs = once.frontierMs;
      }
    }),
    { numRuns: 500 },
  );
});
