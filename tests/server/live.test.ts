import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { JointView } from '../../edge/site/views/joint.ts';
import { ProbeView } from '../../edge/site/views/probe.ts';
import { SiteView } from '../../edge/site/views/site.ts';
import { SumpView } from '../../edge/site/views/sump.ts';
import { addJoint, read, say } from '../support/api.ts';
import { mqttClient, publishReadings, temperature } from '../support/probe.ts';
import { HOUR_MS, MINUTE_MS } from '../support/readings.ts';
import { startService, type TestService } from '../support/service.ts';
import { EventStream } from '../support/stream.ts';

const Beat = z.strictObject({ asOf: z.iso.datetime(), recording: z.boolean() });
const Total = z.strictObject({ total: z.int() });

let service: TestService;
beforeEach(async () => {
  service = await startService();
});
afterEach(() => service[Symbol.asyncDispose]());

describe('the live stream', () => {
  test('begins with the site, the quarantine and a beat, and beats on', async () => {
    const stream = await EventStream.open(service);
    await stream.until(() => stream.events.length >= 4);
    expect(stream.events.map(({ event }) => event)).toEqual(['site', 'quarantine', 'beat', 'beat']);
    expect(SiteView.parse(stream.events[0]?.data)).toMatchObject({ site: 'yard', recording: true, joints: [] });
    expect(Total.parse(stream.events[1]?.data)).toEqual({ total: 0 });
    const [first, second] = stream.named('beat').map((beat) => Beat.parse(beat));
    expect([first?.recording, second?.recording]).toEqual([true, true]);
    const between = Date.parse(second?.asOf ?? '') - Date.parse(first?.asOf ?? '');
    expect(between).toBeGreaterThan(0);
    expect(between).toBeLessThan(8_000);
    stream.close();
  });

  test('tells of readings without being asked: their probe, its joint, its sump', async () => {
    await addJoint(service, { laidUpMs: Date.now() - HOUR_MS });
    const stream = await EventStream.open(service);
    await stream.until(() => stream.events.length >= 3);
    const client = await mqttClient(service);
    const nowMs = Date.now();
    await publishReadings(
      client,
      'p1',
      [60, 50, 40, 30, 20, 10, 0].map((minutes) => temperature(12, nowMs - minutes * MINUTE_MS)),
    );
    const sentMs = Date.now();
    await stream.until(() => ['probe', 'joint', 'sump'].every((event) => stream.named(event).length > 0));
    // Sooner than any beat could have asked for it.
    expect(Date.now() - sentMs).toBeLessThan(4_000);
    expect(ProbeView.parse(stream.named('probe')[0])).toMatchObject({ probe: 'p1', latest: { celsius: 12 }, joints: ['j1'] });
    const joint = JointView.parse(stream.named('joint').at(-1));
    expect(joint.warmHours).toBeGreaterThan(0.99);
    expect(joint).toMatchObject({ joint: 'j1', conditions: [], governing: { probe: 'p1', celsius: 12 } });
    expect(SumpView.parse(stream.named('sump').at(-1))).toMatchObject({ sump: 'sump-of-j1', slowestJoint: 'j1' });
    await client.endAsync();
    stream.close();
  });

  test('tells of entries, strangers, presence and what was set aside', async () => {
    const stream = await EventStream.open(service);
    await stream.until(() => stream.events.length >= 3);
    await say(service, { kind: 'site.described', name: 'Kestrel Yard', timeZone: 'Europe/Oslo' });
    await stream.until(() => stream.named('site').some((site) => SiteView.parse(site).name === 'Kestrel Yard'));
    const client = await mqttClient(service);
    await publishReadings(client, 'new', [temperature(3)]);
    await stream.until(() =>
      stream.named('site').some((site) => SiteView.parse(site).probes.some(({ probe }) => probe === 'new')),
    );
    await client.publishAsync('cure/yard/probe/new/status', 'online', { qos: 1 });
    await stream.until(() => stream.named('probe').some((probe) => ProbeView.parse(probe).online === true));
    await publishReadings(client, 'new', [{ n: 'pressure', u: 'Pa', v: 1 }]);
    await stream.until(() => stream.named('quarantine').some((quarantine) => Total.parse(quarantine).total === 1));
    await client.endAsync();
    stream.close();
  });

  test('tells when the proof of a joint runs out by time alone', async () => {
    await addJoint(service, { laidUpMs: Date.now() - HOUR_MS });
    const client = await mqttClient(service);
    // The gap limit is 15 min: in five seconds this reading proves nothing any more.
    await publishReadings(client, 'p1', [temperature(12, Date.now() - 15 * MINUTE_MS + 5_000)]);
    await client.endAsync();
    const stream = await EventStream.open(service);
    await stream.until(() => stream.named('joint').some((joint) => JointView.parse(joint).conditions.includes('unproven')));
    expect(JointView.parse(SiteView.parse(stream.named('site')[0]).joints[0]).conditions).toEqual([]);
    stream.close();
  });

  test('ends when the service stops, and does not hold it up', async () => {
    const stream = await EventStream.open(service);
    await stream.until(() => stream.events.length >= 3);
    const startedMs = Date.now();
    await Promise.all([service.stop(), stream.end()]);
    expect(Date.now() - startedMs).toBeLessThan(3_000);
  });

  test('asked with HEAD shows its head and watches nothing', async () => {
    const asked = Array.from({ length: 300 }, async () => {
      const response = await fetch(`${service.httpUrl}/api/live`, {
        method: 'HEAD',
        headers: { authorization: `Bearer ${service.token}` },
      });
      return [response.status, response.headers.get('content-type')];
    });
    expect(new Set((await Promise.all(asked)).map(String))).toEqual(new Set(['200,text/event-stream']));
    const stream = await EventStream.open(service);
    expect(stream.status).toBe(200);
    stream.close();
  });

  test('takes 256 watchers, tells the next one so, and has room again when one leaves', async () => {
    const streams = await Promise.all(Array.from({ length: 256 }, () => EventStream.open(service)));
    expect(new Set(streams.map(({ status }) => status))).toEqual(new Set([200]));
    const tooMany = await EventStream.open(service);
    expect(tooMany.status).toBe(429);
    tooMany.close();
    streams[0]?.close();
    let next = await EventStream.open(service);
    while (next.status !== 200) {
      next.close();
      next = await EventStream.open(service);
    }
    await next.until(() => next.events.length >= 3);
    for (const stream of [...streams, next]) stream.close();
  });
});

describe('a watcher that stops reading', () => {
  test('gets the newest state once it reads again; what it missed is not kept for it', async () => {
    for (let sump = 0; sump < 60; sump++) await addJoint(service, { joint: `j${sump}`, probes: [] });
    const slow = await EventStream.open(service);
    await slow.until(() => slow.events.length >= 3);
    const siteBytes = JSON.stringify(slow.named('site')[0]).length;
    expect(siteBytes).toBeGreaterThan(50_000);
    slow.pause();

    const quick = await EventStream.open(service);
    const changes = 400;
    for (let change = 1; change <= changes; change++)
      await say(service, { kind: 'site.described', name: `Name ${change}`, timeZone: 'UTC' });
    const nameOf = (site: unknown) => SiteView.parse(site).name;
    await quick.until(() => nameOf(quick.named('site').at(-1)) === `Name ${changes}`);
    quick.close();

    slow.resume();
    await slow.until(() => nameOf(slow.named('site').at(-1)) === `Name ${changes}`);
    const got = slow.named('site').length - 1;
    // The operating system holds some megabytes that were on their way; beyond those there is the newest state alone.
    expect(got).toBeLessThan(changes / 2);
    expect(await read(service, '/api/site', SiteView)).toMatchObject({ name: `Name ${changes}` });
    slow.close();
  });
});
