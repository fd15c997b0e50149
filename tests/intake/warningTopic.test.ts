import { afterEach, beforeEach, expect, test } from 'vitest';
import { announceStates } from '../../edge/intake/announce.ts';
import { type Broker, startBroker } from '../../edge/intake/broker.ts';
import { GroupCommit } from '../../edge/intake/groupCommit.ts';
import { warningTopic } from '../../edge/intake/topics.ts';
import { columnsOf } from '../../edge/keeper/batch.ts';
import { WarningView } from '../../edge/site/views/warning.ts';
import { about, HandSite } from '../support/handSite.ts';
import { mqttClient } from '../support/probe.ts';

const START_MS = Date.parse('2026-02-10T20:00:00Z');
const KEY = 'k'.repeat(32);
const TOPIC = 'cure/yard/warning/p1/reading-stopped';

let site: HandSite;
let broker: Broker;
let stopAnnouncing: () => void;
beforeEach(async () => {
  site = await HandSite.start(START_MS);
  await site.say({ kind: 'sump.added', sump: 's1', label: 'North' });
  await site.say({ kind: 'probe.registered', probe: 'p1', role: 'material', uncertaintyCelsius: 0.5 });
  await site.say({ kind: 'joint.added', joint: 'j1', sump: 's1', label: 'One', schedule: 'polyester-laminate', probes: ['p1'] });
  await site.say({ kind: 'prep.signed', joint: 'j1', at: site.at(4), sanded: true, wiped: true, dry: true });
  await site.say({ kind: 'joint.laidUp', joint: 'j1', at: site.at(4) });
  const commit = new GroupCommit({
    commit: async () => ({ taken: columnsOf([], 0), setAside: 0 }),
    onKept: () => {},
    onFault: () => {},
    clock: site.clock,
  });
  broker = await startBroker({
    host: '127.0.0.1',
    port: 0,
    site: 'yard',
    commit,
    probeKey: KEY,
    mappingsOf: () => undefined,
    onStatus: () => {},
    onFault: () => {},
  });
  stopAnnouncing = announceStates(site.live, broker);
});
afterEach(async () => {
  stopAnnouncing();
  await broker.close();
  await site[Symbol.asyncDispose]();
});

/** What a signed-in client hears on the warnings' topics, the newest last. */
async function listener() {
  const client = await mqttClient({ mqttPort: broker.port }, { username: 'lamp', password: KEY });
  const heard: { topic: string; text: string; retain: boolean }[] = [];
  client.on('message', (topic, payload, { retain }) => heard.push({ topic, text: payload.toString(), retain }));
  const [grant] = await client.subscribeAsync('cure/yard/warning/#');
  expect(grant?.qos).not.toBe(128);
  return { heard, [Symbol.asyncDispose]: () => client.endAsync() };
}

test('a warning stands, retained, on its own topic while it lasts, as it is now; an empty message takes it off', async () => {
  expect(warningTopic('yard', 'p1', 'reading-stopped')).toBe(TOPIC);
  await using early = await listener();
  for (let part = 0; part < 5; part++) await site.cure(0.1, about(14), 'p1');
  site.wait(10.2 / 60);
  await site.live.quiet();
  await expect.poll(() => early.heard.length, { timeout: 5_000 }).toBe(1);
  const raised = WarningView.parse(JSON.parse(early.heard[0]?.text ?? ''));
  expect(early.heard[0]?.topic).toBe(TOPIC);
  expect(raised).toMatchObject({ code: 'reading-stopped', owner: 'p1', joint: 'j1', sump: 's1', acknowledged: null });

  await site.say({ kind: 'warning.acknowledged', warning: raised.warning });
  site.live.tick();
  await expect.poll(() => early.heard.length, { timeout: 5_000 }).toBe(2);
  expect(JSON.parse(early.heard[1]?.text ?? '')).toMatchObject({ warning: raised.warning, acknowledged: { by: 'R. Oak' } });
  {
    await using late = await listener();
    await expect.poll(() => late.heard).toEqual([{ ...early.heard[1], retain: true }]);
  }

  await site.hear('p1', 'temperature', about(14), { from: 0.1, everyMinutes: 5 });
  site.wait(11 / 3600);
  await site.live.quiet();
  await expect.poll(() => early.heard.slice(2), { timeout: 5_000 }).toEqual([{ topic: TOPIC, text: '', retain: false }]);
  await using late = await listener();
  await new Promise((resolve) => setTimeout(resolve, 200));
  expect(late.heard).toEqual([]);
});
