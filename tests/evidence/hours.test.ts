import { expect, test } from 'vitest';
import { hoursOfJoint } from '../../edge/evidence/hours.ts';
import { EnclosedReadings } from '../../edge/evidence/readings.ts';
import { calibration } from '../site/work.ts';
import { HandSite, quality } from '../support/handSite.ts';

const START_MS = Date.parse('2026-05-04T08:20:00Z');

/** A joint's fold as the service has it, as the ledger's readings give it, and as the blocks alone do. */
async function foldsOf(site: HandSite, name: string) {
  const { tally, state, ledger } = site.live;
  tally.settle();
  const kept = structuredClone(tally.fold(name)?.state ?? null);
  const joint = state.joints.get(name);
  if (joint === undefined) throw new Error(`no joint ${name}`);
  const fromLedger = hoursOfJoint(state, joint, ledger.readings, site.nowMs)?.state ?? null;
  const blocks = ledger.blocksAfter(0, Number.POSITIVE_INFINITY).map(({ block }) => block);
  const fromBlocks = hoursOfJoint(state, joint, new EnclosedReadings(blocks), site.nowMs)?.state ?? null;
  return { kept, fromLedger, fromBlocks, blocks };
}

test('counted from blocks alone, the hours are those that the service counts: sensors, calibrations, moves, late readings, clock', async () => {
  await using site = await HandSite.start(START_MS);
  const say = (said: object) => site.say(said, quality);
  await say({ kind: 'sump.added', sump: 's1', label: 'North' });
  await say({ kind: 'probe.registered', probe: 'p1', role: 'material' });
  await say({ kind: 'probe.registered', probe: 'p2', role: 'material', sensor: { kind: 'pt100', tolerance: 'A' } });
  await say({ kind: 'probe.registered', probe: 'air', role: 'ambient' });
  const joint = (name: string, schedule: string, probes: readonly string[]) => ({
    ...{ kind: 'joint.added', joint: name, sump: 's1', label: name, schedule, probes, ambient: 'air' },
  });
  await say(joint('j1', 'polyester-laminate', ['p1', 'p2']));
  await say(joint('j2', 'sealant-bead', []));
  for (const name of ['j1', 'j2']) await say({ kind: 'joint.laidUp', joint: name, at: site.at() });
  site.wait(3);
  await site.hear('p1', 'temperature', (hour) => 14 + hour / 3, { from: 3 });
  await site.hear('p2', 'resistance', (hour) => 104.5 + hour / 5, { from: 3, to: 1 });
  await site.hear('air', 'temperature', (hour) => 17 + Math.abs(hour), { from: 3 });
  await site.hear('air', 'humidity', 61.5, { from: 3, everyMinutes: 7 });
  await say({ kind: 'calibration.recorded', probe: 'p1', at: site.at(2), calibration: calibration() });
  // What a one-wire sensor says before its first conversion counts for nothing.
  await site.hear('p1', 'temperature', 85, { from: 0.01, to: 0.01 });
  site.wait(1);
  await site.hear('p1', 'temperature', 9, { from: 0.9 });
  await say({ kind: 'joint.assigned', joint: 'j1', probes: ['p2'], ambient: 'air', at: site.at(0.5) });
  await site.hear('p2', 'resistance', 103.2, { from: 0.95 });
  // Buffered through a dropout, and in before anything is sealed.
  await site.hear('p2', 'resistance', 103, { from: 1.95, to: 1 });
  expect(await site.live.seal(0)).toBeGreaterThan(8);
  // Somebody sets the clock: nothing is credited across that.
  site.clock.setBy(90_000);
  site.wait(1);
  await site.live.quiet();
  expect(site.live.state.clockSteps).toHaveLength(1);
  await site.hear('p2', 'resistance', 102, { from: 1 });
  site.wait(1.5);
  expect(await site.live.seal(0)).toBeGreaterThan(1);

  for (const name of ['j1', 'j2']) {
    const { kept, fromLedger, fromBlocks, blocks } = await foldsOf(site, name);
    expect(blocks.length).toBeGreaterThan(10);
    expect(kept?.creditPpmMs, name).toBeGreaterThan(1e12);
    expect(fromLedger, name).toEqual(kept);
    expect(fromBlocks, name).toEqual(kept);
  }
});
