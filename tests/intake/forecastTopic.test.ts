import { setTimeout as sleep } from 'node:timers/promises';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { CodedError } from '../../edge/errors.ts';
import { type Broker, startBroker } from '../../edge/intake/broker.ts';
import { GroupCommit } from '../../edge/intake/groupCommit.ts';
import { columnsOf, deliveriesOf } from '../../edge/keeper/batch.ts';
import type { Quarantined } from '../../edge/ledger/quarantine.ts';
import type { Outcome } from '../../edge/weather/programs.ts';
import { read, say } from '../support/api.ts';
import { HandClock } from '../support/clock.ts';
import { mqttClient, senmlTopic, temperature } from '../support/probe.ts';
import { startService, type TestService, tempFolder } from '../support/service.ts';
import { publishPacket, Wire } from '../support/wire.ts';

const TOPIC = 'cure/yard/forecast';
const HOUR_MS = 3_600_000;
/** Many times longer than a batch is gathered. */
const AMPLE_MS = 200;
const startMs = Math.floor(Date.now() / HOUR_MS) * HOUR_MS;
const hours = (count: number, celsius = 5) =>
  Array.from({ length: count }, (_, hour) => ({ at: new Date(startMs + hour * HOUR_MS).toISOString(), celsius }));
const forecast = (celsius = 5) => JSON.stringify({ hours: hours(24, celsius), source: 'Weather desk' });
const reading = JSON.stringify([temperature(6.25)]);

describe('a forecast on its topic', () => {
  /** Forecasts on their way to the record, each under the test's hand unless they are there at once. */
  let given: { celsius: number | undefined; source: string; speaker: string; end: PromiseWithResolvers<void> }[];
  let atOnce: boolean;
  let outcome: Outcome;
  let aside: Quarantined[];
  let statuses: string[];
  let broker: Broker;
  let wire: Wire;
  beforeEach(async () => {
    given = [];
    atOnce = false;
    outcome = 'taken';
    aside = [];
    statuses = [];
    const commit = new GroupCommit({
      commit: async (batch) => {
        aside.push(...deliveriesOf(batch, 'yard', 1).flatMap((delivery) => delivery.setAside));
        return { taken: columnsOf([], 0), setAside: 0 };
      },
      onKept: () => {},
      onFault: () => {},
      clock: new HandClock(Date.now()),
    });
    broker = await startBroker({
      host: '127.0.0.1',
      port: 0,
      site: 'yard',
      commit,
      probeKey: null,
      mappingsOf: () => undefined,
      onStatus: (probe) => statuses.push(probe),
      onForecast: (hours, source, speaker) => {
        const end = Promise.withResolvers<void>();
        if (atOnce) end.resolve();
        given.push({ celsius: hours[0]?.celsius, source, speaker, end });
        return end.promise.then(() => outcome);
      },
      onFault: () => {},
    });
    wire = await Wire.open(broker.port, { clientId: 'station' });
  });
  afterEach(async () => {
    for (const { end } of given) end.resolve();
    wire.cut();
    await broker.close();
  });
  const underway = async (count: number) => expect.poll(() => given.length).toBe(count);

  test('is acknowledged once it is on record, not before', async () => {
    wire.send(publishPacket(TOPIC, forecast(), 1));
    await underway(1);
    await sleep(AMPLE_MS);
    expect(wire.acknowledged()).toEqual([]);
    given[0]?.end.resolve();
    await wire.until(() => wire.acknowledged().length === 1);
    expect(given[0]).toMatchObject({ source: 'Weather desk', speaker: 'mqtt station' });
    expect(aside).toEqual([]);
  });

  test('keeps its place among its sender’s messages (MQTT-4.6.0-2), and those wait for it', async () => {
    wire.send(
      publishPacket(senmlTopic('p1'), reading, 1),
      publishPacket(TOPIC, forecast(5), 2),
      publishPacket('cure/yard/probe/p1/status', 'online', 3),
      publishPacket(TOPIC, forecast(6), 4),
      publishPacket('lights/on', 'yes', 5),
      publishPacket(TOPIC, 'nonsense', 6),
      publishPacket(senmlTopic('p1'), reading, 7),
    );
    await wire.until(() => wire.acknowledged().length === 1);
    await sleep(AMPLE_MS);
    wire.send(publishPacket(senmlTopic('p1'), reading, 8));
    await sleep(AMPLE_MS);
    expect([wire.acknowledged(), statuses]).toEqual([[1], []]);
    given[0]?.end.resolve();
    await underway(2);
    await wire.until(() => wire.acknowledged().length === 3);
    await sleep(AMPLE_MS);
    expect([wire.acknowledged(), statuses]).toEqual([[1, 2, 3], ['p1']]);
    given[1]?.end.resolve();
    await wire.until(() => wire.acknowledged().length === 8);
    expect(wire.acknowledged()).toEqual([1, 2, 3, 4, 5, 6, 7, 8]);
    expect(given.map(({ celsius }) => celsius)).toEqual([5, 6]);
  });

  test('that is on record at once is not acknowledged before what came before it', async () => {
    atOnce = true;
    const packets = Array.from({ length: 20 }, (_, index) =>
      index % 2 === 0 ? publishPacket(senmlTopic('p1'), reading, index + 1) : publishPacket(TOPIC, forecast(index), index + 1),
    );
    wire.send(...packets);
    await wire.until(() => wire.acknowledged().length === packets.length);
    expect(wire.acknowledged()).toEqual(packets.map(({ messageId }) => messageId));
  });

  test('holds up no other client', async () => {
    wire.send(publishPacket(TOPIC, forecast(), 1));
    await underway(1);
    const other = await Wire.open(broker.port, { clientId: 'probe' });
    other.send(publishPacket(senmlTopic('p1'), reading, 9));
    await other.until(() => other.acknowledged().length === 1);
    expect(wire.acknowledged()).toEqual([]);
    other.cut();
  });

  test.each([
    ['no JSON', 'rain, later fair', /not JSON/],
    ['no UTF-8', Buffer.of(0x7b, 0xff), /not UTF-8/],
    ['another document', '[]', /a forecast is \{"hours"/],
    ['nothing that can be used', JSON.stringify({ hours: [{ at: 'noon', celsius: 5 }] }), /line 1: time "noon"/],
    ['more than a message holds', ' '.repeat(64 * 1024 + 1), /65537 bytes; send at most 65536/, 'too-large'],
    ['more hours than are looked at', `{"hours":[${'1,'.repeat(10_000)}1]}`, /at most 10000 rows/, 'too-large'],
  ])('that is %s is set aside with the reason, and acknowledged', async (_, payload, detail, reason = 'malformed') => {
    wire.send(publishPacket(TOPIC, payload, 1));
    await wire.until(() => wire.acknowledged().length === 1);
    expect(aside).toMatchObject([{ reason, topic: TOPIC, probe: null, detail: expect.stringMatching(detail) }]);
    expect(given).toEqual([]);
  });

  test('is taken without its bad hours, which are set aside', async () => {
    const payload = JSON.stringify({ hours: [...hours(3), { at: 'noon', celsius: 5 }] });
    wire.send(publishPacket(TOPIC, payload, 1));
    await underway(1);
    given[0]?.end.resolve();
    await wire.until(() => wire.acknowledged().length === 1);
    expect(given[0]?.source).toBe('mqtt station');
    expect(aside).toMatchObject([
      { detail: expect.stringMatching(/^the other hours were taken, these were not: line 4: time "noon"/) },
    ]);
  });

  test('that the site refuses is set aside with its words, and acknowledged', async () => {
    wire.send(publishPacket(TOPIC, forecast(), 1));
    await underway(1);
    given[0]?.end.reject(new CodedError('entry-refused', 'hours.23.at: has passed'));
    await wire.until(() => wire.acknowledged().length === 1);
    expect(aside).toMatchObject([{ topic: TOPIC, detail: 'hours.23.at: has passed' }]);
  });

  test('that comes too often is set aside as that, and acknowledged', async () => {
    wire.send(publishPacket(TOPIC, forecast(), 1));
    await underway(1);
    given[0]?.end.reject(new CodedError('too-many', 'less than 10 minutes ago'));
    await wire.until(() => wire.acknowledged().length === 1);
    expect(aside).toMatchObject([{ reason: 'too-often', topic: TOPIC, detail: 'less than 10 minutes ago' }]);
  });

  test.each(['known', 'leftOut'] as const)(
    'that is %s is acknowledged and leaves nothing, not even its bad hours',
    async (became) => {
      outcome = became;
      atOnce = true;
      wire.send(publishPacket(TOPIC, JSON.stringify({ hours: [...hours(3), { at: 'noon', celsius: 5 }] }), 1));
      await wire.until(() => wire.acknowledged().length === 1);
      expect([given.length, aside]).toEqual([1, []]);
    },
  );

  test.each([
    ['has no clock', new CodedError('clock-not-set', 'set the clock')],
    ['is not recording', new CodedError('not-recording', 'disk full')],
    ['fails in any other way', new Error('disk full')],
  ])('that cannot be kept because the site %s is not acknowledged: its connection is cut', async (_, fault) => {
    wire.send(publishPacket(TOPIC, forecast(), 1), publishPacket(senmlTopic('p1'), reading, 2));
    await underway(1);
    given[0]?.end.reject(fault);
    await wire.closed();
    expect(wire.acknowledged()).toEqual([]);
    expect(aside).toEqual([]);
  });

  test('is nobody’s last will', async () => {
    const will = { topic: TOPIC, payload: Buffer.from(forecast()), qos: 1, retain: true } as const;
    const other = await Wire.open(broker.port, { clientId: 'dying', will });
    other.cut();
    await expect.poll(() => aside).toMatchObject([{ topic: TOPIC, detail: expect.stringMatching(/so it is no forecast$/) }]);
    expect(given).toEqual([]);
  });

  test('of another site is none', async () => {
    wire.send(publishPacket('cure/field/forecast', forecast(), 1));
    await wire.until(() => wire.acknowledged().length === 1);
    expect(aside).toMatchObject([{ reason: 'wrong-topic', detail: expect.stringContaining('forecasts to cure/yard/forecast') }]);
    expect(given).toEqual([]);
  });

  test('is not passed on, neither now nor later', async () => {
    const listener = await mqttClient({ mqttPort: broker.port });
    const heard: string[] = [];
    listener.on('message', (topic) => heard.push(topic));
    await listener.subscribeAsync('#');
    wire.send({ ...publishPacket(TOPIC, forecast(), 1), retain: true });
    await underway(1);
    given[0]?.end.resolve();
    await wire.until(() => wire.acknowledged().length === 1);
    const later = await mqttClient({ mqttPort: broker.port });
    later.on('message', (topic) => heard.push(topic));
    await later.subscribeAsync('#');
    await sleep(AMPLE_MS);
    expect(heard).toEqual([]);
    await listener.endAsync();
    await later.endAsync();
  });
});

describe('a site with a probe key', () => {
  const Quarantine = z.object({ items: z.array(z.looseObject({ topic: z.string(), reason: z.string(), detail: z.string() })) });
  const onRecord = (service: TestService) =>
    [...service.live.ledger.entries()].flatMap(({ entry }) => (entry.kind === 'forecast.given' ? [entry] : []));
  const station = (service: TestService) =>
    mqttClient(service, { username: 'weather-station', password: service.probeKey ?? '' });

  test('takes forecasts from whoever is signed in, under that name; one that says nothing new is acknowledged and left', async () => {
    using folder = tempFolder();
    {
      await using service = await startService({ dataFolder: folder.path, probeAuth: 'required' });
      const client = await station(service);
      for (const retain of [false, true, true]) await client.publishAsync(TOPIC, forecast(), { qos: 1, retain });
      expect(onRecord(service)).toMatchObject([
        { source: 'Weather desk', hours: hours(24), by: { name: 'mqtt weather-station', role: 'system' } },
      ]);
      await client.endAsync();
    }
    await using again = await startService({ dataFolder: folder.path, probeAuth: 'required' });
    const client = await station(again);
    await client.publishAsync(TOPIC, forecast(), { qos: 1, retain: true });
    expect(onRecord(again)).toHaveLength(1);
    // Another one so soon, and it does not matter that the program was started in between.
    for (const celsius of [4, 3, 2]) await client.publishAsync(TOPIC, forecast(celsius), { qos: 1, retain: true });
    expect(onRecord(again)).toHaveLength(1);
    const { items } = await read(again, '/api/quarantine', Quarantine);
    expect(items).toMatchObject([{ topic: TOPIC, reason: 'too-often', detail: expect.stringContaining('10 minutes') }]);
    const other = await mqttClient(again, { username: 'second-station', password: again.probeKey ?? '' });
    await other.publishAsync(TOPIC, forecast(4), { qos: 1, retain: true });
    expect(onRecord(again).map(({ hours: [first] }) => first?.celsius)).toEqual([5, 4]);
    await client.endAsync();
    await other.endAsync();
  });

  test('keeps a newer one by somebody else when a station repeats its last', async () => {
    await using service = await startService({ probeAuth: 'required' });
    const client = await station(service);
    await client.publishAsync(TOPIC, forecast(5), { qos: 1, retain: true });
    await say(service, { kind: 'forecast.given', hours: hours(24, 2), source: 'Form' });
    await client.publishAsync(TOPIC, forecast(5), { qos: 1, retain: true });
    await client.publishAsync(TOPIC, JSON.stringify({ hours: hours(24, 2) }), { qos: 1, retain: true });
    expect(onRecord(service).map(({ source }) => source)).toEqual(['Weather desk', 'Form']);
    expect((await read(service, '/api/quarantine', Quarantine)).items).toEqual([]);
    await client.endAsync();
  });

  test('sets aside what it refuses: hours that have passed', async () => {
    await using service = await startService({ probeAuth: 'required' });
    const client = await station(service);
    const past = hours(3).map(({ celsius }, hour) => ({ at: new Date(startMs - (5 - hour) * HOUR_MS).toISOString(), celsius }));
    await client.publishAsync(TOPIC, JSON.stringify({ hours: past }), { qos: 1 });
    await client.endAsync();
    expect(onRecord(service)).toEqual([]);
    const { items } = await read(service, '/api/quarantine', Quarantine);
    expect(items).toMatchObject([{ topic: TOPIC, detail: expect.stringMatching(/has passed/) }]);
  });
});
