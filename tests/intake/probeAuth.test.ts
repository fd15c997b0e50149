import { readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import { z } from 'zod';
import { JointView } from '../../edge/site/views/joint.ts';
import { SiteView } from '../../edge/site/views/site.ts';
import { addJoint, read } from '../support/api.ts';
import { mqttClient, publishReadings, senmlTopic, temperature } from '../support/probe.ts';
import { startService, type TestService } from '../support/service.ts';

const Quarantine = z.object({
  total: z.int(),
  items: z.array(z.looseObject({ reason: z.string(), topic: z.string(), detail: z.string(), probe: z.string().nullable() })),
});

let service: TestService;
let key: string;

beforeAll(async () => {
  service = await startService({ probeAuth: 'required' });
  key = service.probeKey ?? expect.fail('the site has no probe key');
  await addJoint(service, { probes: ['p1', 'p2'] });
});
afterAll(() => service[Symbol.asyncDispose]());

const as = (probe: string, more: object = {}) => mqttClient(service, { username: probe, password: key, ...more });
const probeView = async (name: string) => (await read(service, '/api/site', SiteView)).probes.find(({ probe }) => probe === name);
const quarantine = () => read(service, '/api/quarantine', Quarantine);

describe('with a probe key in force', () => {
  test('the key is made once, long, and for the service alone to read', async () => {
    const file = join(service.dataFolder, 'probe-key');
    expect(readFileSync(file, 'utf8').trim()).toBe(key);
    // 24 random bytes.
    expect(Buffer.from(key, 'base64url')).toHaveLength(24);
    expect(statSync(file).mode & 0o777).toBe(0o600);
    const connection = await read(service, '/api/connection', z.looseObject({ probeKey: z.string(), probeAuth: z.string() }));
    expect(connection).toMatchObject({ probeKey: key, probeAuth: 'required', mqttPort: service.mqttPort, site: 'yard' });
  });

  test.each([
    ['no name and no key', () => ({})],
    ['a name without a key', () => ({ username: 'p1' })],
    ['a wrong key', () => ({ username: 'p1', password: 'a'.repeat(32) })],
    ['the key and a letter', () => ({ username: 'p1', password: `${key}x` })],
    ['the beginning of the key', () => ({ username: 'p1', password: key.slice(0, -1) })],
    ['the API token', () => ({ username: 'p1', password: service.token })],
  ])('%s is refused with CONNACK code 4', async (_, credentials) => {
    // MQTT 3.1.1 table 3.1: 4 is "bad user name or password".
    await expect(mqttClient(service, credentials())).rejects.toMatchObject({ code: 4 });
  });

  test('a probe speaks under its own name', async () => {
    const client = await as('p1');
    await publishReadings(client, 'p1', [temperature(6.25)]);
    await client.publishAsync('cure/yard/probe/p1/status', 'online', { qos: 1 });
    await vi.waitFor(async () => expect(await probeView('p1')).toMatchObject({ latest: { celsius: 6.25 }, online: true }));
    await client.endAsync();
  });

  test.each(['senml', 'status'])('a probe that speaks under another’s name (%s) is set aside', async (leaf) => {
    const before = await quarantine();
    const client = await as('p1');
    const topic = `cure/yard/probe/p2/${leaf}`;
    await client.publishAsync(topic, leaf === 'senml' ? JSON.stringify([temperature(20)]) : 'online', { qos: 1 });
    await client.endAsync();
    const { total, items } = await quarantine();
    expect(total).toBe(before.total + 1);
    expect(items[0]).toMatchObject({ reason: 'wrong-topic', topic, probe: 'p2' });
    expect(items[0]?.detail).toContain('signed in as "p1", which may speak only under its own name');
    expect(await probeView('p2')).toMatchObject({ latest: null, online: null });
  });

  test('a last will under another’s name is set aside too', async () => {
    const before = await quarantine();
    const client = await as('p1', {
      will: { topic: senmlTopic('p2'), payload: Buffer.from(JSON.stringify([temperature(20)])), qos: 1, retain: false },
    });
    client.stream.destroy();
    await vi.waitFor(async () => expect((await quarantine()).total).toBe(before.total + 1));
    expect((await quarantine()).items[0]).toMatchObject({ reason: 'wrong-topic', topic: senmlTopic('p2') });
    expect((await probeView('p2'))?.latest).toBeNull();
  });

  test.each([
    '#',
    'cure/#',
    'cure/yard/#',
    'cure/yard/probe/+/senml',
    'cure/yard/probe/p1/senml',
    '+/yard/joint/#',
    'cure/+/joint/#',
    '$SYS/#',
  ])('nobody may listen to %s', async (filter) => {
    const client = await as('p1');
    await expect(client.subscribeAsync(filter)).rejects.toThrow();
    await client.endAsync();
  });

  test('lamps may listen to states, and hear no reading', async () => {
    const lamp = await as('lamp');
    const heard = new Map<string, string>();
    lamp.on('message', (topic, payload) => heard.set(topic, payload.toString()));
    for (const filter of ['cure/yard/joint/#', 'cure/yard/sump/+/state', 'cure/yard/joint/j1/state'])
      expect(await lamp.subscribeAsync(filter)).toMatchObject([{ topic: filter, qos: 0 }]);
    const probe = await as('p1');
    await publishReadings(probe, 'p1', [temperature(6.5)]);
    await vi.waitFor(() => {
      const state = JointView.parse(JSON.parse(heard.get('cure/yard/joint/j1/state') ?? 'null'));
      expect([state.probes.length, heard.has('cure/yard/sump/sump-of-j1/state')]).toEqual([2, true]);
    }, 5_000);
    expect([...heard.keys()].filter((topic) => topic.includes('/probe/'))).toEqual([]);
    await Promise.all([lamp.endAsync(), probe.endAsync()]);
  });
});
