import { join } from 'node:path';
import type { MqttClient } from 'mqtt';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { type Broker, startBroker } from '../../edge/intake/broker.ts';
import { GroupCommit } from '../../edge/intake/groupCommit.ts';
import { QUANTITIES, type Quantity } from '../../edge/intake/quantities.ts';
import { Keeper } from '../../edge/keeper/keeper.ts';
import { LedgerView } from '../../edge/ledger/ledgerView.ts';
import { Mapping } from '../../edge/site/mapping.ts';
import { HandClock } from '../support/clock.ts';
import { mqttClient, publishReadings, temperature } from '../support/probe.ts';
import { type TempFolder, tempFolder } from '../support/service.ts';
import { publishPacket, Wire } from '../support/wire.ts';

const NOW_MS = Date.UTC(2026, 0, 15, 14, 30);
const TOPIC = 'shed/north/sensor';
const KEY = 'the probe key of this test';

const sensor = Mapping.parse({
  probe: 'p1',
  topic: TOPIC,
  fields: [
    { pointer: '/data/0/f', quantity: 'temperature', unit: 'Far' },
    { pointer: '/data/0/rh', quantity: 'humidity', unit: '%' },
    { pointer: '/water', quantity: 'level', unit: 'in' },
  ],
});
const timed = Mapping.parse({
  probe: 'p2',
  topic: 'shed/timed',
  fields: [{ pointer: '/ohms', quantity: 'resistance', unit: 'kOhm' }],
  time: { pointer: '/ms', format: 'unix-milliseconds' },
});
const gateway = ['left', 'right'].map((probe) =>
  Mapping.parse({ probe, topic: 'gateway', fields: [{ pointer: `/${probe}`, quantity: 'temperature', unit: 'Cel' }] }),
);
const mappings = new Map([
  [sensor.topic, [sensor]],
  [timed.topic, [timed]],
  ['gateway', gateway],
]);

let folder: TempFolder;
let keeper: Keeper;
let ledger: LedgerView;
let broker: Broker;
const clients: MqttClient[] = [];

async function open(probeKey: string | null = null): Promise<void> {
  broker = await startBroker({
    host: '127.0.0.1',
    port: 0,
    site: 'yard',
    commit: new GroupCommit({
      commit: (batch) => keeper.deliver(batch, 1),
      onKept: () => {},
      onFault: () => {},
      clock: new HandClock(NOW_MS),
    }),
    probeKey,
    mappingsOf: (topic) => mappings.get(topic),
    onStatus: () => {},
    onFault: () => {},
  });
}

beforeEach(async () => {
  folder = tempFolder();
  const path = join(folder.path, 'ledger.db');
  keeper = await Keeper.open(path, 'yard');
  ledger = new LedgerView(path);
});
afterEach(async () => {
  await Promise.all(clients.splice(0).map((client) => client.endAsync(true)));
  await broker.close();
  ledger.close();
  await keeper.close();
  folder[Symbol.dispose]();
});

async function client(options: Parameters<typeof mqttClient>[1] = {}): Promise<MqttClient> {
  const made = await mqttClient({ mqttPort: broker.port }, options);
  clients.push(made);
  return made;
}

const kept = (probe: string, quantity: Quantity) => {
  const { atMs, value } = ledger.readings.range(probe, QUANTITIES.indexOf(quantity), 0, NOW_MS + 60_000);
  return Array.from(atMs, (ms, row) => [ms, value[row]]);
};
const aside = () =>
  ledger.quarantine(50).map(({ reason, probe, topic, detail, payload }) => {
    return { reason, probe, topic, detail, payload: new TextDecoder().decode(payload) };
  });

describe('a message under a mapped topic', () => {
  beforeEach(() => open());

  test.each([0, 1, 2] as const)('is taken as readings of its probe, in our units (QoS %i)', async (qos) => {
    const device = await client();
    await device.publishAsync(TOPIC, '{"data":[{"f":50,"rh":"81.5"}],"water":49.125}', { qos });
    // A message of QoS 0 is answered by nothing; one of QoS 1 behind it is.
    await device.publishAsync('cure/yard/probe/p1/status', 'online', { qos: 1 });
    expect(kept('p1', 'temperature')).toEqual([[NOW_MS, 10_000]]);
    expect(kept('p1', 'humidity')).toEqual([[NOW_MS, 81_500]]);
    // 49 1/8 in are 1.247775 m.
    expect(kept('p1', 'level')).toEqual([[NOW_MS, 1_247_775]]);
    expect(aside()).toEqual([]);
  });

  test('counts at its own time where the mapping names one, and may be sent again', async () => {
    const payload = JSON.stringify({ ohms: 12.49, ms: NOW_MS - 5_000 });
    const device = await Wire.open(broker.port, { clientId: 'device' });
    device.send(publishPacket('shed/timed', payload, 1));
    device.send({ ...publishPacket('shed/timed', payload, 2), dup: true });
    await device.until(() => device.acknowledged().length === 2);
    device.cut();
    expect(kept('p2', 'resistance')).toEqual([[NOW_MS - 5_000, 12_490_000]]);
    expect(aside()).toEqual([]);
  });

  test('without a time that was sent before (DUP) is set aside: when it was measured nobody knows', async () => {
    const device = await Wire.open(broker.port, { clientId: 'device' });
    device.send({ ...publishPacket(TOPIC, '{"data":[{"f":50,"rh":80}],"water":1}', 1), dup: true });
    await device.until(() => device.acknowledged().length === 1);
    device.cut();
    expect(aside()).toMatchObject([{ reason: 'repeated', probe: 'p1', topic: TOPIC }]);
    expect(kept('p1', 'temperature')).toEqual([]);
  });

  test.each<[string, string, string, RegExp]>([
    ['that is no JSON', 'warm', 'malformed', /^the payload is not JSON/],
    ['with NaN', '{"data":[{"f":NaN}]}', 'malformed', /NaN and infinity have no place/],
    ['of bytes that are no text', '\u00ff', 'malformed', /not UTF-8/],
    ['longer than is taken', `{"data":"${'x'.repeat(64 * 1024)}"}`, 'too-large', /send at most 65536/],
  ])('%s is set aside whole, with its beginning', async (what, payload, reason, detail) => {
    const bytes = Buffer.from(payload, what.includes('no text') ? 'latin1' : 'utf8');
    await (await client()).publishAsync(TOPIC, bytes, { qos: 1 });
    const items = aside();
    expect(items).toMatchObject([{ reason, probe: 'p1', topic: TOPIC, detail: expect.stringMatching(detail) }]);
    expect(items[0]?.payload).toBe(new TextDecoder().decode(bytes.subarray(0, 1024)));
    expect(kept('p1', 'temperature')).toEqual([]);
  });

  test('with a value missing is set aside with the pointer named, and its other values are taken', async () => {
    const payload = '{"data":[{"rh":80}],"water":null}';
    await (await client()).publishAsync(TOPIC, payload, { qos: 1 });
    expect(aside()).toEqual([
      {
        reason: 'malformed',
        probe: 'p1',
        topic: TOPIC,
        detail:
          'temperature: "/data/0/f" is not there, where a number is expected; level: "/water" holds null, where a number is expected',
        payload,
      },
    ]);
    expect(kept('p1', 'humidity')).toEqual([[NOW_MS, 80_000]]);
  });

  test('is held to the same limits as a probe’s own', async () => {
    const device = await client();
    await device.publishAsync(TOPIC, '{"data":[{"f":400,"rh":80}],"water":800}', { qos: 1 });
    await device.publishAsync('shed/timed', JSON.stringify({ ohms: 10, ms: NOW_MS + 3_600_000 }), { qos: 1 });
    expect(aside()).toMatchObject([
      { reason: 'time-out-of-range', probe: 'p2', detail: expect.stringMatching(/more than 5 minutes ahead/) },
      {
        reason: 'out-of-range',
        probe: 'p1',
        detail: expect.stringMatching(/^"temperature" is 204\.4.* \(and 1 more like it\)$/),
      },
    ]);
    expect([kept('p1', 'humidity').length, kept('p1', 'level').length, kept('p2', 'resistance').length]).toEqual([1, 0, 0]);
  });

  test('that contradicts a kept one is set aside with both values in their unit', async () => {
    const device = await client();
    for (const water of [40, 41])
      await device.publishAsync(TOPIC, JSON.stringify({ data: [{ f: 50, rh: 80 }], water }), { qos: 1 });
    expect(kept('p1', 'level')).toEqual([[NOW_MS, 1_016_000]]);
    expect(aside()).toMatchObject([
      {
        reason: 'conflicting-duplicate',
        topic: TOPIC,
        detail: expect.stringMatching(/first said 1\.016, now 1\.0414; the first/),
      },
    ]);
  });

  test('may serve several probes', async () => {
    await (await client()).publishAsync('gateway', '{"left":7,"right":"8.5"}', { qos: 1 });
    expect([kept('left', 'temperature'), kept('right', 'temperature')]).toEqual([[[NOW_MS, 7000]], [[NOW_MS, 8500]]]);
    await (await client()).publishAsync('gateway', '{"right":9}', { qos: 1 });
    expect(aside().map(({ reason, probe }) => [reason, probe])).toEqual([
      ['conflicting-duplicate', 'right'],
      ['malformed', 'left'],
    ]);
  });

  test('is set aside when it was retained, or left as a last will', async () => {
    const device = await client();
    await device.publishAsync(TOPIC, '{"data":[{"f":50}]}', { qos: 1, retain: true });
    const dying = await client({ will: { topic: TOPIC, payload: Buffer.from('{"data":[{"f":60}]}'), qos: 1, retain: false } });
    dying.stream.destroy();
    await expect.poll(() => aside().length).toBe(2);
    expect(aside()).toMatchObject([
      { reason: 'wrong-topic', probe: 'p1', topic: TOPIC, detail: expect.stringMatching(/a last will is as old/) },
      { reason: 'retained', probe: 'p1', topic: TOPIC },
    ]);
    expect(kept('p1', 'temperature')).toEqual([]);
  });

  test('reaches no subscriber, now or later', async () => {
    const heard: string[] = [];
    const listener = await client();
    listener.on('message', (topic) => heard.push(topic));
    await listener.subscribeAsync(['#', 'refused'], { qos: 1 });
    const device = await client();
    await device.publishAsync(TOPIC, '{"data":[{"f":50}]}', { qos: 1 });
    await device.publishAsync(TOPIC, '{"data":[{"f":50}]}', { qos: 1, retain: true });
    await publishReadings(device, 'p1', [temperature(7)]);
    const late = await client();
    late.on('message', (topic) => heard.push(topic));
    await late.subscribeAsync('#', { qos: 1 });
    // The readings of the probe's own topic come after the others would have.
    await expect.poll(() => heard.length).toBeGreaterThan(0);
    expect(new Set(heard)).toEqual(new Set(['cure/yard/probe/p1/senml']));
  });

  test('is acknowledged in its turn among the others', async () => {
    const topics = [TOPIC, 'cure/yard/probe/p1/senml', 'nobody/knows', 'cure/yard/probe/p1/status', 'shed/timed'];
    const device = await Wire.open(broker.port, { clientId: 'device' });
    const packets = Array.from({ length: 100 }, (_, index) => publishPacket(topics[index % 5] ?? TOPIC, '{}', index + 1));
    device.send(...packets);
    await device.until(() => device.acknowledged().length === packets.length);
    expect(device.acknowledged()).toEqual(packets.map(({ messageId }) => messageId));
    device.cut();
  });
});

describe('a topic that nobody mapped', () => {
  beforeEach(() => open());

  test.each(['shed/north', 'shed/north/sensor/', 'Shed/north/sensor', '/shed/north/sensor'])(
    'stays set aside, with the beginning of its payload to make a mapping from: %s',
    async (topic) => {
      const payload = JSON.stringify({ name: 'a device', readings: Array.from({ length: 200 }, (_, index) => index / 4) });
      await (await client()).publishAsync(topic, payload, { qos: 1 });
      const items = aside();
      expect(items).toMatchObject([
        { reason: 'wrong-topic', probe: null, topic, detail: expect.stringMatching(/needs a mapping$/) },
      ]);
      expect(items[0]?.payload.length).toBeGreaterThanOrEqual(500);
      expect(payload.startsWith(items[0]?.payload ?? 'not kept')).toBe(true);
    },
  );
});

describe('with a probe key in force', () => {
  beforeEach(() => open(KEY));
  const as = (username: string) => client({ username, password: KEY });

  test('a device that signs in under the name of the mapped probe is believed', async () => {
    await (await as('p1')).publishAsync(TOPIC, '{"data":[{"f":50,"rh":80}],"water":1}', { qos: 1 });
    expect(kept('p1', 'temperature')).toEqual([[NOW_MS, 10_000]]);
    expect(aside()).toEqual([]);
  });

  test('one that signs in under another’s is set aside', async () => {
    await (await as('p2')).publishAsync(TOPIC, '{"data":[{"f":50,"rh":80}],"water":1}', { qos: 1 });
    expect(aside()).toMatchObject([
      {
        reason: 'wrong-topic',
        probe: 'p1',
        topic: TOPIC,
        detail: 'signed in as "p2", which may speak only under its own name, not as "p1"',
      },
    ]);
    expect(kept('p1', 'temperature')).toEqual([]);
  });

  test('a device that serves several probes signs in under the name of any of them', async () => {
    await (await as('right')).publishAsync('gateway', '{"left":7,"right":8}', { qos: 1 });
    expect([kept('left', 'temperature'), kept('right', 'temperature')]).toEqual([[[NOW_MS, 7000]], [[NOW_MS, 8000]]]);
    await (await as('p1')).publishAsync('gateway', '{"left":9,"right":9}', { qos: 1 });
    expect(aside()).toMatchObject([
      { reason: 'wrong-topic', probe: 'left', detail: expect.stringMatching(/^signed in as "p1"/) },
    ]);
  });
});
