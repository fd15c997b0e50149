import type { MqttClient } from 'mqtt';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { z } from 'zod';
import type { QuarantineReason } from '../../edge/intake/quantities.ts';
import { SiteView } from '../../edge/site/views/site.ts';
import { read } from '../support/api.ts';
import { mqttClient, publishReadings, senmlTopic, temperature } from '../support/probe.ts';
import { startService, type TempFolder, type TestService, tempFolder } from '../support/service.ts';

const Item = z.object({
  at: z.string(),
  topic: z.string(),
  probe: z.string().nullable(),
  reason: z.string(),
  detail: z.string(),
  payload: z.string(),
  bytes: z.int(),
});
const Quarantine = z.object({ total: z.int(), items: z.array(Item) });

const HOUR_MS = 3_600_000;
const one = JSON.stringify([temperature(7.5)]);
const records = (...list: object[]) => JSON.stringify(list);
const anHourAgoMs = Date.now() - HOUR_MS;

interface Bad {
  readonly what: string;
  readonly reason: QuarantineReason;
  readonly payload: string | Buffer;
  readonly detail: RegExp;
  readonly topic?: string;
  readonly probe?: string | null;
  readonly retain?: boolean;
}

const bad: Bad[] = [
  { what: 'a retained message', reason: 'retained', payload: one, retain: true, detail: /without the retain flag/ },
  { what: 'plain text', reason: 'malformed', payload: 'warm', detail: /not JSON/ },
  { what: 'nothing at all', reason: 'malformed', payload: '', detail: /not JSON/ },
  { what: 'bytes that are no text', reason: 'malformed', payload: Buffer.from([0x5b, 0xc3, 0x28, 0x5d]), detail: /not UTF-8/ },
  {
    what: 'a missed sample',
    reason: 'malformed',
    payload: '[{"n":"temperature","u":"Cel","v":null}]',
    detail: /holds no number/,
  },
  {
    what: 'NaN',
    reason: 'malformed',
    payload: '[{"n":"temperature","u":"Cel","v":NaN}]',
    detail: /NaN and infinity have no place/,
  },
  {
    what: '64 KiB and a byte',
    reason: 'too-large',
    payload: one.padEnd(64 * 1024 + 1),
    detail: /65537 bytes; send at most 65536/,
  },
  {
    what: 'a quantity that nobody asked for',
    reason: 'unknown-quantity',
    payload: records({ n: 'pressure', u: 'Pa', v: 101_325 }),
    detail: /"pressure" ends in no known quantity; known: temperature \(Cel\)/,
  },
  {
    what: 'degrees Fahrenheit',
    reason: 'wrong-unit',
    payload: records({ n: 'temperature', u: 'Far', v: 50 }),
    detail: /convert with \(F − 32\) · 5\/9/,
  },
  {
    what: 'a missing one-wire sensor',
    reason: 'out-of-range',
    payload: records(temperature(-127)),
    detail: /the one-wire sensor does not answer/,
  },
  {
    what: 'a clock that starts in 1970',
    reason: 'time-out-of-range',
    payload: records(temperature(7.5, 2 ** 28 * 1000)),
    detail: /1978-07-04T21:24:16\.000Z, before 2015 .*set its clock/,
  },
  {
    what: 'a clock that runs an hour ahead',
    reason: 'time-out-of-range',
    payload: records(temperature(7.5, Date.now() + HOUR_MS)),
    detail: /more than 5 minutes ahead/,
  },
  {
    what: 'a pack of two sensors',
    reason: 'ambiguous',
    payload: records({ ...temperature(20), n: 'air:temperature' }, { ...temperature(7), n: 'joint:temperature' }),
    detail: /"air:temperature" and "joint:temperature" are two sensors under one probe id/,
  },
  {
    what: 'a presence that says more than online',
    reason: 'malformed',
    topic: 'cure/yard/probe/p1/status',
    payload: 'online ',
    retain: true,
    detail: /"online" or "offline"/,
  },
  {
    what: 'another site',
    reason: 'wrong-topic',
    topic: 'cure/field/probe/p1/senml',
    probe: null,
    payload: one,
    detail: /cure\/yard\/probe\/PROBE\/senml/,
  },
  {
    what: 'a topic of another trade',
    reason: 'wrong-topic',
    topic: 'lights/on',
    probe: null,
    payload: 'yes',
    detail: /readings go to/,
  },
  {
    what: 'a forged state',
    reason: 'wrong-topic',
    topic: 'cure/yard/joint/j1/state',
    probe: null,
    payload: '{}',
    detail: /readings go to/,
  },
  {
    what: 'a forged broker notice',
    reason: 'wrong-topic',
    topic: '$SYS/yard/new/clients',
    probe: null,
    payload: 'p1',
    detail: /readings go to/,
  },
];

describe('what cannot be believed', () => {
  let folder: TempFolder;
  let service: TestService;
  let client: MqttClient;
  const quarantine = () => read(service, '/api/quarantine', Quarantine);

  beforeAll(async () => {
    folder = tempFolder();
    service = await startService({ dataFolder: folder.path });
    client = await mqttClient(service);
  });
  afterAll(async () => {
    await client.endAsync(true);
    await service.stop();
    folder[Symbol.dispose]();
  });

  test.each(bad)('$what is acknowledged and set aside as $reason', async (message) => {
    const { topic = senmlTopic('p1'), probe = 'p1', payload, retain = false, reason, detail } = message;
    const before = await quarantine();
    await client.publishAsync(topic, payload, { qos: 1, retain });
    const { total, items } = await quarantine();
    expect(total).toBe(before.total + 1);
    const bytes = Buffer.from(payload);
    expect(items[0]).toMatchObject({ topic, probe, reason, bytes: bytes.length, payload: bytes.toString().slice(0, 1024) });
    expect(items[0]?.detail).toMatch(detail);
    expect(Math.abs(Date.now() - Date.parse(items[0]?.at ?? ''))).toBeLessThan(60_000);
  });

  test('a second value for one instant is acknowledged and set aside; the first one stays', async () => {
    const before = await quarantine();
    await publishReadings(client, 'p2', [temperature(7.5, anHourAgoMs)]);
    await publishReadings(client, 'p2', [temperature(9.25, anHourAgoMs)]);
    await publishReadings(client, 'p2', [temperature(7.5, anHourAgoMs)]);
    const { total, items } = await quarantine();
    expect(total).toBe(before.total + 1);
    expect(items[0]).toMatchObject({ reason: 'conflicting-duplicate', probe: 'p2', topic: senmlTopic('p2') });
    expect(items[0]?.detail).toContain(`at ${new Date(anHourAgoMs).toISOString()} the probe first said 7.5, now 9.25`);
  });

  test('a whole pack of second values is set aside as one, with their number', async () => {
    const before = await quarantine();
    const pack = Array.from({ length: 1000 }, (_, index) => temperature(9.25 + index / 16_000, anHourAgoMs));
    await publishReadings(client, 'p2', [...pack, temperature(5, anHourAgoMs - HOUR_MS)]);
    const { total, items } = await quarantine();
    expect(total).toBe(before.total + 1);
    expect(items[0]?.detail).toMatch(/first said 7\.5, now 9\.25; the first is kept \(and 999 more like it\)$/);
  });

  test('a bad record does not keep out the good ones beside it, and the message is kept once', async () => {
    const before = await quarantine();
    const pack = [
      temperature(3.125),
      { n: 'pressure', u: 'Pa', v: 1 },
      { n: 'humidity', u: '%', v: 0.5 },
      { n: 'humidity', u: '%RH', v: 50 },
    ];
    await publishReadings(client, 'p3', pack);
    const { total, items } = await quarantine();
    expect(total).toBe(before.total + 2);
    expect(
      items
        .slice(0, 2)
        .map(({ reason }) => reason)
        .sort(),
    ).toEqual(['unknown-quantity', 'wrong-unit']);
    expect(
      items
        .slice(0, 2)
        .map(({ payload }) => payload)
        .sort(),
    ).toEqual(['', JSON.stringify(pack)]);
    const site = await read(service, '/api/site', SiteView);
    expect(site.probes.find(({ probe }) => probe === 'p3')?.latest?.celsius).toBe(3.125);
  });

  test('none of it became a reading, and all of it is still there after a restart', async () => {
    const before = await quarantine();
    expect(new Set(before.items.map(({ reason }) => reason)).size).toBe(10);
    await client.endAsync(true);
    await service.stop();
    service = await startService({ dataFolder: folder.path });
    client = await mqttClient(service);
    expect(await quarantine()).toEqual(before);
    const site = await read(service, '/api/site', SiteView);
    expect(site.probes.map(({ probe, latest }) => [probe, latest?.celsius])).toEqual([
      ['p2', 7.5],
      ['p3', 3.125],
    ]);
    expect(service.said).toEqual([]);
  });
});
