import { createServer } from 'node:net';

import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';

import { Probe } from '../../edge/demo/probe.ts';
import { samplesIn, TestBroker } from './broker.ts';

const samples = (count: number) =>
  Array.from({ length: count }, (_, index) => ({ atMs: 1_768_500_000_000 + index * 30_000, celsius: index / 16 }));

/** A busy machine may take its time. */
const PATIENT = { timeout: 15_000 };

let broker: TestBroker;
const settings = (extra: object = {}) => ({ mqttUrl: broker.url, site: 'yard', probe: 'n-1', baseName: 'n-1:', ...extra });

beforeEach(async () => {
  broker = new TestBroker();
  await broker.start();
});
afterEach(() => broker.stop());

describe('a simulated probe', () => {
  it('delivers all it has kept in order, in packs of at most 300, QoS 1, not retained, on its own topic', async () => {
    const probe = await Probe.connect(settings());
    for (const sample of samples(725)) probe.record(sample);
    await probe.flush();
    expect(probe.acknowledged).toBe(725);
    const packs = broker.on('/senml');
    expect(packs.map(({ payload }) => samplesIn([{ ...(packs[0] ?? expect.fail()), payload }]).length)).toEqual([300, 300, 125]);
    for (const pack of packs) expect(pack).toMatchObject({ topic: 'cure/yard/probe/n-1/senml', qos: 1, retain: false });
    expect(samplesIn(packs).map(({ atMs, celsius }) => ({ atMs, celsius }))).toEqual(samples(725));
    expect(packs[0]?.payload).toContain('"battery"');
    await probe.end();
  });

  it('is online while it is there and says goodbye', async () => {
    const probe = await Probe.connect(settings());
    await vi.waitFor(() => expect(broker.on('/status')).toHaveLength(1), PATIENT);
    await probe.end();
    expect(broker.on('/status')).toEqual(
      ['online', 'offline'].map((payload) => ({
        topic: 'cure/yard/probe/n-1/status',
        payload,
        qos: 1,
        retain: true,
        client: 'yard-n-1',
      })),
    );
  });

  it('keeps what is not acknowledged over a power cut of the broker and delivers it afterwards', async () => {
    const probe = await Probe.connect(settings());
    const { port } = broker;
    await vi.waitFor(() => expect(broker.on('/status')).toHaveLength(1), PATIENT);
    broker.answersLeft = 0;
    const [first, second, third] = samples(3) as [
      { atMs: number; celsius: number },
      { atMs: number; celsius: number },
      { atMs: number; celsius: number },
    ];
    probe.record(first);
    const flushed = probe.flush();
    await vi.waitFor(() => expect(broker.on('/senml')).toHaveLength(1), PATIENT);
    expect(probe.acknowledged).toBe(0);
    await broker.stop();
    probe.record(second);
    probe.record(third);

    broker = new TestBroker();
    await broker.start(port);
    await flushed;
    expect(probe.acknowledged).toBe(3);
    const delivered = samplesIn(broker.on('/senml')).map(({ atMs }) => atMs);
    expect(new Set(delivered)).toEqual(new Set([first.atMs, second.atMs, third.atMs]));
    expect(broker.on('/status').map(({ payload }) => payload)).toEqual(['online']);
    await probe.end();
  });

  it('leaves its will when the connection breaks, and is online again once it is back', async () => {
    const probe = await Probe.connect(settings());
    await vi.waitFor(() => expect(broker.on('/status')).toHaveLength(1), PATIENT);
    broker.cut();
    await vi.waitFor(() => expect(broker.on('/status')).toHaveLength(3), PATIENT);
    // The probe itself has said no goodbye: the second one is the broker speaking its will.
    expect(broker.on('/status').map(({ payload, retain }) => ({ payload, retain }))).toEqual([
      { payload: 'online', retain: true },
      { payload: 'offline', retain: true },
      { payload: 'online', retain: true },
    ]);
    await probe.end();
  });

  it('lets go of an unanswered delivery when it ends', async () => {
    const probe = await Probe.connect(settings());
    await vi.waitFor(() => expect(broker.on('/status')).toHaveLength(1), PATIENT);
    broker.answersLeft = 0;
    for (const sample of samples(700)) probe.record(sample);
    const flushed = probe.flush();
    await probe.end();
    await flushed;
    expect(probe.acknowledged).toBe(0);
  });

  it('signs in with its id and the probe key', async () => {
    const probe = await Probe.connect(settings({ probeKey: 'a key' }));
    expect(broker.logins).toEqual([{ client: 'yard-n-1', username: 'n-1', password: 'a key' }]);
    await probe.end();
  });

  it('says in plain words why it cannot connect', async () => {
    const guarded = new TestBroker();
    await guarded.start(0, 'right');
    await expect(Probe.connect(settings({ mqttUrl: guarded.url, probeKey: 'wrong' }))).rejects.toThrow(
      `probe n-1 cannot connect to 127.0.0.1:${guarded.port}: the broker refuses this user name and password`,
    );
    const { url, port } = guarded;
    await guarded.stop();
    await expect(Probe.connect(settings({ mqttUrl: url }))).rejects.toThrow(`127.0.0.1:${port}: nothing listens there`);

    const stranger = createServer((socket) => socket.destroy()).listen(port, '127.0.0.1');
    await expect(Probe.connect(settings({ mqttUrl: url }))).rejects.toThrow('does not answer as an MQTT broker');
    await new Promise((resolve) => stranger.close(resolve));
  });
});
