import { afterEach, beforeEach, expect, test } from 'vitest';
import { HandSite } from '../support/handSite.ts';

const START_MS = Date.parse('2026-05-04T08:00:00Z');

let site: HandSite;
beforeEach(async () => {
  site = await HandSite.start(START_MS);
  await site.say({ kind: 'sump.added', sump: 's1', label: 'North' });
  await site.say({ kind: 'probe.registered', probe: 'p1', role: 'material' });
  await site.say({ kind: 'joint.added', joint: 'j1', sump: 's1', label: 'Base', schedule: 'polyester-laminate', probes: ['p1'] });
  await site.say({ kind: 'prep.signed', joint: 'j1', at: site.at(), sanded: true, wiped: true, dry: true });
  await site.say({ kind: 'joint.laidUp', joint: 'j1', at: site.at() });
  site.wait(30);
  await site.hear('p1', 'temperature', (hour) => 20 + Math.sin(hour / 4), { from: 30 });
});
afterEach(() => site[Symbol.asyncDispose]());

const twentyHoursIn = () => new Date(START_MS + 20 * 3_600_000).toISOString();

test('a start that is put on record later is judged by its own time', async () => {
  expect(site.sump('s1').activities[0]?.state).toBe('ready');
  const said = site.say({ kind: 'activity.started', sump: 's1', activity: 'water-test', at: twentyHoursIn() });
  await expect(said).rejects.toThrow(/joint "j1" is not clear for hydro until 2026-05-05T08:0/);
  expect(site.sump('s1').activities[0]?.startedAt).toBeNull();
});

test('with a reason it is taken, and leaves its finding', async () => {
  await site.say({
    kind: 'activity.started',
    sump: 's1',
    activity: 'water-test',
    at: twentyHoursIn(),
    reason: 'Tanker was there',
  });
  const view = site.sump('s1');
  expect(view.activities[0]).toMatchObject({ state: 'started', early: { reason: 'Tanker was there' } });
  expect(view.findings.map(({ code }) => code)).toEqual(['started-early']);
});

test('after the joint was clear it needs none', async () => {
  const at = new Date(START_MS + 25 * 3_600_000).toISOString();
  await site.say({ kind: 'activity.started', sump: 's1', activity: 'water-test', at });
  expect(site.sump('s1').activities[0]).toMatchObject({ state: 'started', startedAt: at, early: null });
});
