import { once } from 'node:events';
import { connect, type Socket } from 'node:net';
import { setTimeout as sleep } from 'node:timers/promises';
import mqtt from 'mqtt-packet';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { type Broker, startBroker } from '../../edge/intake/broker.ts';
import { GroupCommit } from '../../edge/intake/groupCommit.ts';
import { PACKET_BYTES_MOST } from '../../edge/intake/packetLimit.ts';
import { columnsOf, deliveriesOf } from '../../edge/keeper/batch.ts';
import type { Quarantined } from '../../edge/ledger/quarantine.ts';
import { HandClock } from '../support/clock.ts';
import { mqttClient, senmlTopic } from '../support/probe.ts';
import { publishPacket, Wire } from '../support/wire.ts';

let broker: Broker;
let commit: GroupCommit;
let said: string[];
let aside: Quarantined[];
let statuses: string[];

/** A broker whose commits are on the disk at once. */
async function open(probeKey: string | null = null): Promise<void> {
  commit = new GroupCommit({
    commit: async (batch) => {
      const setAside = deliveriesOf(batch, 'yard', 1).flatMap((delivery) => delivery.setAside);
      aside.push(...setAside);
      return { taken: columnsOf([], 0), setAside: setAside.length };
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
    probeKey,
    mappingsOf: () => undefined,
    onStatus: (probe, online) => statuses.push(`${probe} ${online}`),
    onFault: ({ message }) => said.push(message),
  });
}

const sockets: Socket[] = [];
async function socket(): Promise<Socket> {
  const made = connect(broker.port, '127.0.0.1');
  sockets.push(made);
  made.on('error', () => {});
  await once(made, 'connect');
  return made;
}

beforeEach(() => {
  said = [];
  aside = [];
  statuses = [];
});
afterEach(async () => {
  for (const made of sockets.splice(0)) made.destroy();
  await broker.close();
  await commit.drain();
});

describe('a stranger', () => {
  test('that announces a packet of 256 MB is cut off by its header, with a line in the log', async () => {
    await open('k'.repeat(32));
    const made = await socket();
    made.write(Buffer.from([0x10, 0xff, 0xff, 0xff, 0x7f]));
    await once(made, 'close');
    expect(said).toEqual(['a packet of 268435455 bytes; at most 65536 are taken here']);
  });

  test('that fails again and again is told about once a second, with the number', async () => {
    await open('k'.repeat(32));
    const made = await Promise.all(Array.from({ length: 30 }, socket));
    for (const one of made) one.write('GET / HTTP/1.1\r\n\r\n');
    await Promise.all(made.map((one) => once(one, 'close')));
    await vi.waitFor(() => expect(said).toHaveLength(2), 3_000);
    expect(said[1]).toMatch(/\(and 28 more within a second\)$/);
  });

  test('finds no more than 500 connections, and whoever is connected stays', async () => {
    await open();
    const wire = await Wire.open(broker.port, { clientId: 'probe' });
    const many = await Promise.all(Array.from({ length: 510 }, socket));
    await vi.waitFor(() => expect(many.filter((one) => one.closed || one.readableEnded)).toHaveLength(11), 5_000);
    expect(said[0]).toBe('500 connections are open; another one was turned away');
    wire.send(publishPacket(senmlTopic('p1'), '[]', 1));
    await wire.until(() => wire.acknowledged().length === 1);
    wire.cut();
  });

  test('without a password is not let in by a key that is empty', async () => {
    await open('');
    await expect(mqttClient({ mqttPort: broker.port }, { username: 'p1', password: '' })).rejects.toMatchObject({ code: 4 });
  });
});

describe('a probe', () => {
  test('whose message is too large to be taken is told why up to 256 KiB, and cut off beyond', async () => {
    await open();
    const wire = await Wire.open(broker.port, { clientId: 'c1' });
    const topic = senmlTopic('p1');
    // Beside the payload a packet holds the topic with its length, two bytes, and the message id, two more.
    const most = PACKET_BYTES_MOST - topic.length - 4;
    wire.send(publishPacket(topic, Buffer.alloc(65_537), 1), publishPacket(topic, Buffer.alloc(most), 2));
    await wire.until(() => wire.acknowledged().length === 2);
    expect(aside.map(({ reason, bytes }) => [reason, bytes])).toEqual([
      ['too-large', 65_537],
      ['too-large', most],
    ]);
    wire.send(publishPacket(topic, '[]', 3), publishPacket(topic, Buffer.alloc(most + 1), 4));
    // Cut off in the middle of what it sends, it may learn so from a reset.
    await wire.closed().catch(() => {});
    expect(wire.acknowledged()).not.toContain(4);
    expect(said).toEqual(['a packet of 262145 bytes; at most 262144 are taken here']);
  });

  test('is there or gone; whatever else it says of its presence is kept for nobody', async () => {
    await open();
    const wire = await Wire.open(broker.port, { clientId: 'c1' });
    const payloads = ['online', 'offline', '', 'Online', 'online\n', 'x'.repeat(60_000)];
    const packets = payloads.map((payload, index) => publishPacket(`cure/yard/probe/p${index}/status`, payload, index + 1));
    wire.send(...packets.map((packet) => ({ ...packet, retain: true })));
    await wire.until(() => wire.acknowledged().length === payloads.length);
    expect(statuses).toEqual(['p0 true', 'p1 false']);
    expect(aside.map(({ reason, topic }) => `${reason} ${topic}`)).toEqual(
      [2, 3, 4, 5].map((index) => `malformed cure/yard/probe/p${index}/status`),
    );
    expect(await retained(wire)).toEqual(['cure/yard/probe/p0/status', 'cure/yard/probe/p1/status']);
    wire.cut();
  });

  test('beyond the first 2,000 names leaves no presence, and those keep theirs', async () => {
    await open();
    const wire = await Wire.open(broker.port, { clientId: 'c1' });
    const say = (probe: number, payload: string, messageId: number) =>
      wire.send({ ...publishPacket(`cure/yard/probe/p${probe}/status`, payload, messageId), retain: true });
    for (let probe = 0; probe < 2_010; probe++) say(probe, 'online', probe + 1);
    say(7, 'offline', 3_000);
    await wire.until(() => wire.acknowledged().length === 2_011);
    expect(statuses).toHaveLength(2_001);
    expect(statuses.at(-1)).toBe('p7 false');
    expect(aside.map(({ reason, probe }) => `${reason} ${probe}`)).toEqual(
      Array.from({ length: 10 }, (_, index) => `wrong-topic p${2_000 + index}`),
    );
    expect(await retained(wire)).toHaveLength(2_000);
    wire.cut();
  });
});

/** Topics of the retained messages about probes that a subscriber gets. */
async function retained(wire: Wire): Promise<string[]> {
  wire.send({ cmd: 'subscribe', messageId: 9, subscriptions: [{ topic: 'cure/yard/probe/#', qos: 0 }] });
  await wire.until(() => wire.heard.some(({ cmd }) => cmd === 'suback'));
  let before = -1;
  while (wire.heard.length > before) {
    before = wire.heard.length;
    await sleep(200);
  }
  return wire.heard.flatMap((packet) => (packet.cmd === 'publish' ? [packet.topic] : [])).sort();
}

test('a subscriber that stops reading is cut off, and the others hear the news within seconds', async () => {
  await open();
  const topic = 'cure/yard/joint/j1/state';
  const frozen = await socket();
  frozen.write(
    Buffer.concat([
      mqtt.generate({ cmd: 'connect', protocolId: 'MQTT', protocolVersion: 4, clean: true, clientId: 'frozen', keepalive: 0 }),
      mqtt.generate({ cmd: 'subscribe', messageId: 1, subscriptions: [{ topic, qos: 0 }] }),
    ]),
  );
  await once(frozen, 'data');
  frozen.pause();

  const lamp = await mqttClient({ mqttPort: broker.port });
  let newest = '';
  lamp.on('message', (_, payload) => (newest = payload.subarray(0, 4).toString()));
  await lamp.subscribeAsync(topic);
  // Far more than the operating system holds for somebody who reads nothing.
  for (let change = 1; change <= 400; change++) broker.announce(topic, String(change).padEnd(100_000));
  const startedMs = performance.now();
  await vi.waitFor(() => expect(newest).toBe('400 '), { timeout: 20_000, interval: 50 });
  expect(performance.now() - startedMs).toBeLessThan(15_000);
  expect(said).toEqual(['drain timeout']);
  await lamp.endAsync();
}, 30_000);
