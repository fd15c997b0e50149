import { afterAll, beforeAll, expect, test, vi } from 'vitest';
import { JointView } from '../../edge/site/views/joint.ts';
import { SiteView } from '../../edge/site/views/site.ts';
import { addJoint, ask, problemOf, read, say } from '../support/api.ts';
import { mqttClient } from '../support/probe.ts';
import { startService, type TestService } from '../support/service.ts';

let service: TestService;
beforeAll(async () => {
  service = await startService();
});
afterAll(() => service[Symbol.asyncDispose]());

const takeBack = (seq: number) => ({ kind: 'entry.withdrawn', seq, reason: 'Added by mistake' });

test('a joint and a sump that were added by mistake go from the pages, the stream and the broker', async () => {
  const client = await mqttClient(service);
  const states = new Map<string, string>();
  client.on('message', (topic, payload) => states.set(topic, payload.toString()));
  await client.subscribeAsync('cure/yard/#', { qos: 1 });
  const sump = await say(service, { kind: 'sump.added', sump: 'wrong', label: 'Wrong' });
  const joint = { kind: 'joint.added', joint: 'oops', sump: 'wrong', label: 'Oops', schedule: 'epoxy-pour', probes: [] };
  const { seq } = await say(service, joint);
  expect((await read(service, '/api/joints/oops', JointView)).addedSeq).toBe(seq);
  await vi.waitFor(() => expect(states.get('cure/yard/joint/oops/state')).toContain('"oops"'), 5_000);

  const withJoint = await ask(service, '/api/entries', { method: 'POST', body: takeBack(sump.seq) });
  expect((await problemOf(withJoint)).detail).toMatch(/has joints; take those back first/);
  await say(service, takeBack(seq));
  await say(service, takeBack(sump.seq));
  const { sumps, joints } = await read(service, '/api/site', SiteView);
  expect([...sumps.map((one) => one.sump), ...joints.map((one) => one.joint)]).toEqual([]);
  expect((await ask(service, '/api/joints/oops')).status).toBe(404);
  await vi.waitFor(() => {
    expect(states.get('cure/yard/joint/oops/state')).toBe('');
    expect(states.get('cure/yard/sump/wrong/state')).toBe('');
  }, 5_000);
  await client.endAsync();
});

test('one with work on record stays', async () => {
  await addJoint(service, { joint: 'j1', probes: ['p1'], laidUpMs: Date.now() - 60_000 });
  const { addedSeq } = await read(service, '/api/joints/j1', JointView);
  const answer = await ask(service, '/api/entries', { method: 'POST', body: takeBack(addedSeq) });
  expect((await problemOf(answer)).detail).toMatch(/work on joint "j1" is on record/);
});

test('a lot that was used stays, one that was not can go', async () => {
  const lot = (name: string) => ({ kind: 'lot.added', lot: name, material: 'resin', label: name });
  const used = await say(service, lot('R-1'));
  const unused = await say(service, lot('R-2'));
  const resin = { value: 1, unit: 'quart' };
  const at = new Date(Date.now() - 30_000).toISOString();
  await say(service, {
    ...{ kind: 'mix.recorded', joint: 'j1', at, resin, catalystMillilitres: 13, resinCelsius: 18, resinLot: 'R-1' },
  });
  expect((await ask(service, '/api/entries', { method: 'POST', body: takeBack(used.seq) })).status).toBe(409);
  await say(service, takeBack(unused.seq));
  expect((await read(service, '/api/site', SiteView)).lots.map((one) => one.lot)).toEqual(['R-1']);
});
