import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { z } from 'zod';
import { JointView } from '../../edge/site/views/joint.ts';
import { SiteView } from '../../edge/site/views/site.ts';
import { SumpView } from '../../edge/site/views/sump.ts';
import { addJoint, read, say } from '../support/api.ts';
import { mqttClient, publishReadings, senmlTopic, temperature } from '../support/probe.ts';
import { startService, type TestService } from '../support/service.ts';
import { publishPacket, Wire } from '../support/wire.ts';

const MINUTE_MS = 60_000;

let service: TestService;
beforeEach(async () => {
  service = await startService();
});
afterEach(() => service[Symbol.asyncDispose]());

const probeView = async (name: string) =>
  (await read(service, '/api/site', SiteView)).probes.find(({ probe }) => probe === name) ?? null;

/** Readings once a minute for two hours up to now, all of one temperature. */
const twoHours = (celsius: number) => {
  const nowMs = Date.now();
  return Array.from({ length: 121 }, (_, minute) => temperature(celsius, nowMs - (120 - minute) * MINUTE_MS));
};

describe('a probe', () => {
  test.each([0, 1, 2] as const)('may send its readings with QoS %i', async (qos) => {
    const client = await mqttClient(service);
    await client.publishAsync(senmlTopic('p1'), JSON.stringify([temperature(6.25)]), { qos });
    await vi.waitFor(async () => expect((await probeView('p1'))?.latest?.celsius).toBe(6.25));
    await client.endAsync();
  });

  test('that repeats a QoS 2 message, as after a lost PUBREC, is answered again and counted once', async () => {
    await addJoint(service, { laidUpMs: Date.now() - 60 * MINUTE_MS });
    const wire = await Wire.open(service.mqttPort, { clientId: 'repeats' });
    const packet = publishPacket(senmlTopic('p1'), JSON.stringify([temperature(6.25, Date.now() - 5 * MINUTE_MS)]), 7, 2);
    wire.send(packet);
    await wire.until(() => wire.heard.some(({ cmd }) => cmd === 'pubrec'));
    wire.send({ ...packet, dup: true });
    await wire.until(() => wire.heard.filter(({ cmd }) => cmd === 'pubrec').length === 2);
    wire.send({ cmd: 'pubrel', messageId: 7 });
    await wire.until(() => wire.heard.some(({ cmd }) => cmd === 'pubcomp'));
    wire.cut();
    const response = await fetch(`${service.httpUrl}/api/joints/j1/history`, {
      headers: { authorization: `Bearer ${service.token}` },
    });
    const history = (await response.json()) as { series: { points: unknown[] }[] };
    expect(history.series[0]?.points).toHaveLength(1);
  });

  test.each([1, 2] as const)(
    'without a clock that repeats a message of QoS %i with DUP set makes no second reading of it',
    async (qos) => {
      await addJoint(service, { laidUpMs: Date.now() - 60 * MINUTE_MS });
      const answered = qos === 1 ? 'puback' : 'pubrec';
      const wire = await Wire.open(service.mqttPort, { clientId: 'repeats' });
      const pack = JSON.stringify([temperature(6.25), temperature(6.5, Date.now() - 60 * MINUTE_MS)]);
      const packet = publishPacket(senmlTopic('p1'), pack, 7, qos);
      for (const dup of [false, true, true]) {
        wire.send({ ...packet, dup });
        const heard = wire.heard.length;
        await wire.until(() => wire.heard.length > heard);
      }
      expect(wire.heard.slice(1).map(({ cmd }) => cmd)).toEqual([answered, answered, answered]);
      wire.cut();
      const { atMs } = service.live.ledger.readings.range('p1', 0, 0, Date.now() + MINUTE_MS);
      expect(atMs).toHaveLength(2);
      const { items } = await read(service, '/api/quarantine', z.looseObject({ items: z.array(z.looseObject({})) }));
      expect(items).toMatchObject([
        { reason: 'repeated', topic: senmlTopic('p1') },
        { reason: 'repeated', detail: expect.stringContaining('send a fresh reading instead, or name times') },
      ]);
    },
  );

  test('shows as gone by its last will when its connection breaks, and as there again when it says so', async () => {
    const topic = 'cure/yard/probe/p1/status';
    const will = { topic, payload: Buffer.from('offline'), qos: 1 as const, retain: true };
    await addJoint(service);
    expect((await probeView('p1'))?.online).toBeNull();
    const client = await mqttClient(service, { will });
    await client.publishAsync(topic, 'online', { qos: 1, retain: true });
    expect((await probeView('p1'))?.online).toBe(true);
    client.stream.destroy();
    await vi.waitFor(async () => expect((await probeView('p1'))?.online).toBe(false));
    const again = await mqttClient(service, { will });
    await again.publishAsync(topic, 'online', { qos: 1, retain: true });
    expect((await probeView('p1'))?.online).toBe(true);
    await again.endAsync();
    expect(service.said.join()).not.toContain('NOT RECORDING');
  });

  test('that left a reading as its last will has it set aside: it is as old as the connection', async () => {
    const payload = Buffer.from(JSON.stringify([temperature(21)]));
    const client = await mqttClient(service, { will: { topic: senmlTopic('p1'), payload, qos: 1, retain: false } });
    await publishReadings(client, 'p1', [temperature(6.25)]);
    client.stream.destroy();
    const quarantine = () => read(service, '/api/quarantine', z.looseObject({ items: z.array(z.looseObject({})) }));
    await vi.waitFor(async () => expect((await quarantine()).items).toHaveLength(1));
    expect((await quarantine()).items[0]).toMatchObject({
      reason: 'wrong-topic',
      probe: 'p1',
      detail: expect.stringContaining('a last will is as old as its connection'),
    });
    expect((await probeView('p1'))?.latest?.celsius).toBe(6.25);
  });

  test('that nobody has registered is seen, and what it said counts once somebody has', async () => {
    await say(service, { kind: 'sump.added', sump: 's1', label: 'North' });
    const joint = {
      kind: 'joint.added',
      joint: 'j1',
      sump: 's1',
      label: 'Entry',
      schedule: 'polyester-laminate',
      probes: ['new'],
    };
    await say(service, joint);
    await say(service, { kind: 'joint.laidUp', joint: 'j1', at: new Date(Date.now() - 121 * MINUTE_MS).toISOString() });
    const client = await mqttClient(service);
    await publishReadings(client, 'new', twoHours(12));
    await client.endAsync();

    await vi.waitFor(async () =>
      expect(await probeView('new')).toMatchObject({ registered: false, role: null, joints: ['j1'], latest: { celsius: 12 } }),
    );
    const before = await read(service, '/api/joints/j1', JointView);
    expect(before).toMatchObject({ warmHours: 0, governing: null, conditions: ['unproven'] });
    expect(before.probes).toEqual([{ probe: 'new', role: 'material', registered: false }]);

    await say(service, { kind: 'probe.registered', probe: 'new', role: 'material' });
    const after = await read(service, '/api/joints/j1', JointView);
    expect(after.warmHours).toBeCloseTo(2, 6);
    expect(after).toMatchObject({ governing: { probe: 'new', celsius: 12 }, conditions: [] });
    expect(await probeView('new')).toMatchObject({ registered: true, role: 'material' });
  });
});

describe('states for lamps and other systems', () => {
  test('are published retained, for joints and sumps, in the shape that the API has, and follow the readings', async () => {
    await addJoint(service, { laidUpMs: Date.now() - 121 * MINUTE_MS });
    const lamp = await mqttClient(service);
    const heard = new Map<string, { text: string; retain: boolean }>();
    lamp.on('message', (topic, payload, { retain }) => heard.set(topic, { text: payload.toString(), retain }));
    const joint = () => JointView.parse(JSON.parse(heard.get('cure/yard/joint/j1/state')?.text ?? 'null'));
    await vi.waitFor(async () => {
      await lamp.subscribeAsync('cure/yard/+/+/state');
      expect(heard.get('cure/yard/joint/j1/state')?.retain).toBe(true);
      expect(heard.get('cure/yard/sump/sump-of-j1/state')?.retain).toBe(true);
    }, 5_000);
    expect(joint()).toMatchObject({ joint: 'j1', phase: 'curing', warmHours: 0 });
    expect(SumpView.parse(JSON.parse(heard.get('cure/yard/sump/sump-of-j1/state')?.text ?? 'null'))).toMatchObject({
      slowestJoint: 'j1',
      phase: 'curing',
    });

    const client = await mqttClient(service);
    await publishReadings(client, 'p1', twoHours(12));
    await client.endAsync();
    await vi.waitFor(() => expect(joint().warmHours).toBeCloseTo(2, 6), 5_000);
    expect(joint().stages).toEqual(
      (await read(service, '/api/joints/j1', JointView)).stages.map((stage) => ({ ...stage, ifHeldAt: expect.any(String) })),
    );
    await lamp.endAsync();
  });

  test('are the program’s own: what anybody else publishes there reaches nobody, now or later', async () => {
    await addJoint(service);
    const lamp = await mqttClient(service);
    const heard: string[] = [];
    lamp.on('message', (topic, payload) => heard.push(`${topic} ${payload}`));
    await lamp.subscribeAsync('#', { qos: 1 });
    const forger = await mqttClient(service);
    for (const topic of ['cure/yard/joint/j1/state', 'cure/yard/sump/sump-of-j1/state', 'cure/yard/joint/none/state'])
      await forger.publishAsync(topic, 'forged, all clear', { qos: 1, retain: true });
    await forger.publishAsync(senmlTopic('p1'), JSON.stringify([temperature(6.25)]), { qos: 1, retain: true });
    await forger.endAsync();
    const late = await mqttClient(service);
    late.on('message', (topic, payload) => heard.push(`${topic} ${payload}`));
    await late.subscribeAsync('cure/#', { qos: 1 });
    // The program's own words come after the forged ones would have.
    await vi.waitFor(
      () => expect(heard.filter((line) => line.startsWith('cure/yard/joint/j1/state {"joint"'))).not.toHaveLength(0),
      5_000,
    );
    await late.publishAsync('cure/yard/probe/p1/status', 'online', { qos: 1 });
    await vi.waitFor(() => expect(heard).toContain('cure/yard/probe/p1/status online'));
    expect(heard.filter((line) => line.startsWith('cure/') && line.includes('forged'))).toEqual([]);
    await Promise.all([lamp.endAsync(), late.endAsync()]);
  });
});
