import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Statement } from '../../edge/site/entries.ts';
import { MINUTE_MS, reading, START_MS } from '../support/readings.ts';
import { tempFolder } from '../support/service.ts';
import { Job } from './job.ts';

const joints = fc.constantFrom('j1', 'j2', 'j3');
const minutesBack = fc.integer({ min: 0, max: 200 });
const probeSets = fc.constantFrom<string[]>(['p1'], ['p2'], ['p1', 'p2'], ['p3', 'p1'], ['p2', 'p3', 'new'], []);

/** One thing that happens on a site. Times are minutes back from the moment it happens. */
type Step =
  | {
      readonly kind: 'readings';
      readonly probe: string;
      readonly back: number;
      readonly steps: readonly (readonly [number, number])[];
      readonly late: boolean;
    }
  | { readonly kind: 'say'; readonly make: (nowMs: number) => Statement }
  | { readonly kind: 'takeBack'; readonly pick: number }
  | { readonly kind: 'keep'; readonly seal: boolean }
  | { readonly kind: 'restart' }
  | { readonly kind: 'look' };

const iso = (ms: number) => new Date(ms).toISOString();
const readings: fc.Arbitrary<Step> = fc.record({
  kind: fc.constant('readings'),
  probe: fc.constantFrom('p1', 'p1', 'p2', 'p3', 'a1', 'new', 'stranger'),
  // Most come at once, some from the buffer of a probe that was out of reach, some from a probe whose clock runs ahead.
  back: fc.oneof(
    { weight: 5, arbitrary: fc.integer({ min: 0, max: 10 }) },
    { weight: 2, arbitrary: minutesBack },
    { weight: 1, arbitrary: fc.integer({ min: -5, max: -1 }) },
  ),
  // Minutes between neighbours, the gap limit of 15 among them, and what was measured, the floor of 5 °C with the guard among it.
  steps: fc.array(
    fc.tuple(
      fc.oneof(fc.integer({ min: 1, max: 5 }), fc.constantFrom(14, 15, 16)),
      fc.oneof(fc.integer({ min: 0, max: 15_000 }), fc.constantFrom(5499, 5500, 10_500, 5000)),
    ),
    { minLength: 1, maxLength: 10 },
  ),
  late: fc.boolean(),
});
const said: fc.Arbitrary<Step> = fc
  .oneof(
    fc.record({ kind: fc.constant('joint.laidUp' as const), joint: joints, back: minutesBack }),
    fc.record({ kind: fc.constant('joint.relaid' as const), joint: joints, back: minutesBack }),
    fc.record({ kind: fc.constant('joint.assigned' as const), joint: joints, probes: probeSets, back: fc.option(minutesBack) }),
    fc.record({
      kind: fc.constant('probe.registered' as const),
      probe: fc.constantFrom('p1', 'p2', 'p3', 'new'),
      uncertaintyCelsius: fc.constantFrom(0, 0.5, 1.5),
    }),
  )
  .map((wish): Step => {
    const make = (nowMs: number): Statement => {
      switch (wish.kind) {
        case 'probe.registered':
          return { ...wish, role: 'material', sensor: { kind: 'digital' } };
        case 'joint.assigned': {
          const { kind, joint, probes, back } = wish;
          return { kind, joint, probes, ...(back === null ? {} : { at: iso(nowMs - back * MINUTE_MS) }) };
        }
        default: {
          const { kind, joint, back } = wish;
          return { kind, joint, at: iso(nowMs - back * MINUTE_MS) };
        }
      }
    };
    return { kind: 'say', make };
  });
const steps = fc.array(
  fc.tuple(
    fc.integer({ min: 0, max: 20 }),
    fc.oneof(
      { weight: 8, arbitrary: readings },
      { weight: 3, arbitrary: said },
      { weight: 2, arbitrary: fc.record({ kind: fc.constant('takeBack' as const), pick: fc.nat(30) }) },
      { weight: 2, arbitrary: fc.record({ kind: fc.constant('keep' as const), seal: fc.boolean() }) },
      { weight: 1, arbitrary: fc.constant<Step>({ kind: 'restart' }) },
      { weight: 2, arbitrary: fc.constant<Step>({ kind: 'look' }) },
    ),
  ),
  { minLength: 3, maxLength: 30 },
);

async function happen(job: Job, step: Step): Promise<void> {
  switch (step.kind) {
    case 'readings': {
      let atMs = job.nowMs - step.back * MINUTE_MS;
      const all = [...step.steps].reverse().map(([minutes, milliC]) => {
        const one = reading(atMs, milliC, { probe: step.probe, arrivalMs: job.nowMs });
        atMs -= minutes * MINUTE_MS;
        return one;
      });
      return job.deliver(all.reverse(), step.late);
    }
    case 'say':
      return job.say(step.make(job.nowMs));
    case 'takeBack':
      return job.takeBack(step.pick);
    case 'keep':
      return job.keep(step.seal);
    case 'restart':
      return job.restart();
    case 'look': {
      job.catchUp();
      const { kept, fromNothing, replayed } = job.states();
      expect(kept).toEqual(fromNothing);
      expect(replayed).toEqual(fromNothing);
    }
  }
}

describe('what the tally says', () => {
  test('is what a fold from nothing says, whatever came in whatever order, after every restart', async () => {
    const credited: number[] = [];
    await fc.assert(
      fc.asyncProperty(steps, async (plan) => {
        using folder = tempFolder();
        const job = new Job(folder.path);
        // Every joint has been laid up by then, so that all of it counts.
        for (const joint of ['j1', 'j2', 'j3']) job.say({ kind: 'joint.laidUp', joint, at: iso(START_MS - 60 * MINUTE_MS) });
        try {
          for (const [minutes, step] of plan) {
            job.nowMs += minutes * MINUTE_MS;
            await happen(job, step);
          }
          await happen(job, { kind: 'look' });
          await happen(job, { kind: 'restart' });
          await happen(job, { kind: 'look' });
          for (const state of Object.values(job.states().kept)) credited.push(state?.creditPpmMs ?? 0);
        } finally {
          await job.close();
        }
      }),
      { numRuns: 120 },
    );
    // Agreement about nothing would be no agreement.
    expect(credited.filter((credit) => credit > 0).length).toBeGreaterThan(20);
  }, 120_000);

  test('counts, once its instant has come, a reading that was ahead of our clock and of a probe that was registered only then', async () => {
    using folder = tempFolder();
    const job = new Job(folder.path);
    job.say({ kind: 'joint.laidUp', joint: 'j3', at: iso(START_MS - MINUTE_MS) });
    job.deliver([reading(START_MS + MINUTE_MS, 12_000, { probe: 'new', arrivalMs: START_MS })], false);
    job.say({ kind: 'probe.registered', probe: 'new', role: 'material', sensor: { kind: 'digital' }, uncertaintyCelsius: 0 });
    await job.keep(false);
    job.nowMs += 2 * MINUTE_MS;
    job.deliver([reading(job.nowMs, 12_000, { probe: 'new', arrivalMs: job.nowMs })], false);
    const { kept, fromNothing } = job.states();
    expect(kept).toEqual(fromNothing);
    expect(kept.j3?.creditPpmMs).toBe(MINUTE_MS * 1_000_000);
    await job.close();
  });

  test('is right after a lay-up was taken back, hours were sealed without it, and it was said again', async () => {
    using folder = tempFolder();
    const job = new Job(folder.path);
    const layUp: Statement = { kind: 'joint.laidUp', joint: 'j1', at: iso(START_MS) };
    const minutes = (from: number, to: number) =>
      Array.from({ length: to - from }, (_, index) => reading(START_MS + (from + index) * MINUTE_MS, 12_000));
    job.say(layUp);
    job.nowMs = START_MS + 240 * MINUTE_MS;
    job.deliver(minutes(0, 60), false);
    await job.keep(true);
    job.takeBack(0);
    job.deliver(minutes(60, 120), false);
    await job.keep(true);
    job.say(layUp);
    await job.restart();
    const { kept, fromNothing } = job.states();
    expect(kept).toEqual(fromNothing);
    expect(kept.j1?.creditPpmMs).toBe(119 * MINUTE_MS * 1_000_000);
    await job.close();
  });
});
