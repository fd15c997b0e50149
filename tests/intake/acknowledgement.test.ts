import { setTimeout as sleep } from 'node:timers/promises';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { type Broker, startBroker } from '../../edge/intake/broker.ts';
import { GroupCommit } from '../../edge/intake/groupCommit.ts';
import { columnsOf, type MessageBatch } from '../../edge/keeper/batch.ts';
import type { KeptBatch } from '../../edge/keeper/keeper.ts';
import { HandClock } from '../support/clock.ts';
import { senmlTopic, temperature } from '../support/probe.ts';
import { publishPacket, Wire } from '../support/wire.ts';

const one = JSON.stringify([temperature(6.25)]);
const senml = (messageId: number) => publishPacket(senmlTopic('p1'), one, messageId);
/** Many times longer than a batch is gathered: an acknowledgement that does not wait for its commit would be here by then. */
const AMPLE_MS = 200;

/** A disk under the test's hand: every commit waits until it is told how it went. */
class Disk {
  readonly batches: { readonly messages: number; readonly kept: () => void; readonly failed: (fault: Error) => void }[] = [];
  #changed = Promise.withResolvers<void>();

  readonly commit = (batch: MessageBatch): Promise<KeptBatch> => {
    const { promise, resolve, reject } = Promise.withResolvers<KeptBatch>();
    const kept = () => resolve({ taken: columnsOf([], 0), setAside: 0 });
    this.batches.push({ messages: batch.probe.length, kept, failed: reject });
    this.#changed.resolve();
    return promise;
  };

  async batch(index: number): Promise<Disk['batches'][number]> {
    while (this.batches[index] === undefined) {
      this.#changed = Promise.withResolvers();
      await this.#changed.promise;
    }
    return this.batches[index];
  }
}

let disk: Disk;
let broker: Broker;
let commit: GroupCommit;
let faults: Error[];
let wire: Wire;
beforeEach(async () => {
  disk = new Disk();
  faults = [];
  commit = new GroupCommit({
    commit: disk.commit,
    onKept: () => {},
    onFault: (fault) => faults.push(fault),
    clock: new HandClock(Date.now()),
  });
  broker = await startBroker({
    host: '127.0.0.1',
    port: 0,
    site: 'yard',
    commit,
    probeKey: null,
    mappingsOf: () => undefined,
    onStatus: () => {},
    onFault: () => {},
  });
  wire = await Wire.open(broker.port, { clientId: 'c1' });
});
afterEach(async () => {
  for (const { failed } of disk.batches) failed(new Error('the test is over'));
  wire.cut();
  await broker.close();
});

describe('an acknowledgement', () => {
  test('leaves after the commit of its message, not before', async () => {
    wire.send(senml(1));
    const batch = await disk.batch(0);
    await sleep(AMPLE_MS);
    expect(wire.acknowledged()).toEqual([]);
    batch.kept();
    await wire.until(() => wire.acknowledged().length === 1);
    expect(wire.acknowledged()).toEqual([1]);
  });

  test('for QoS 2 (PUBREC) too', async () => {
    wire.send(publishPacket(senmlTopic('p1'), one, 9, 2));
    const batch = await disk.batch(0);
    await sleep(AMPLE_MS);
    expect(wire.heard.map(({ cmd }) => cmd)).toEqual(['connack']);
    batch.kept();
    await wire.until(() => wire.heard.at(-1)?.cmd === 'pubrec');
  });

  test('comes in the order of the messages, whatever they were and in how many commits', async () => {
    const others = ['cure/yard/probe/p1/status', 'cure/field/probe/p1/senml', senmlTopic('p2')];
    const packets = Array.from({ length: 400 }, (_, index) =>
      publishPacket(others[index % 7] ?? senmlTopic('p1'), index % 5 === 0 ? 'nonsense' : one, index + 1),
    );
    wire.send(...packets.slice(0, 150));
    const first = await disk.batch(0);
    wire.send(...packets.slice(150, 300));
    wire.send(...packets.slice(300));
    await sleep(AMPLE_MS);
    expect(wire.acknowledged()).toEqual([]);
    first.kept();
    for (let index = 1; wire.acknowledged().length < packets.length; index++) {
      if (disk.batches.slice(0, index).reduce((sum, { messages }) => sum + messages, 0) < packets.length)
        (await disk.batch(index)).kept();
      await sleep(20);
    }
    expect(wire.acknowledged()).toEqual(packets.map(({ messageId }) => messageId));
  });

  test('of one client does not wait for the messages of another', async () => {
    wire.send(senml(1));
    const first = await disk.batch(0);
    const other = await Wire.open(broker.port, { clientId: 'c2' });
    other.send(publishPacket(senmlTopic('p2'), one, 5));
    first.kept();
    await wire.until(() => wire.acknowledged().length === 1);
    (await disk.batch(1)).kept();
    await other.until(() => other.acknowledged().length === 1);
    other.cut();
  });
});

describe('after a storage fault', () => {
  test('the connection is cut without an acknowledgement, and nothing is acknowledged any more', async () => {
    const bystander = await Wire.open(broker.port, { clientId: 'c2' });
    wire.send(senml(1), senml(2), publishPacket('lights/on', 'yes', 3));
    (await disk.batch(0)).failed(new Error('disk full'));
    await wire.closed();
    expect(wire.heard.map(({ cmd }) => cmd)).toEqual(['connack']);
    expect(faults.map(({ message }) => message)).toEqual(['disk full']);

    bystander.send(senml(4));
    await bystander.closed();
    expect(bystander.acknowledged()).toEqual([]);
    const again = await Wire.open(broker.port, { clientId: 'c1' });
    again.send(senml(5));
    await again.closed();
    expect(again.acknowledged()).toEqual([]);
    expect(disk.batches).toHaveLength(1);
    expect(faults).toHaveLength(1);
  });

  test('a commit that was under way when the ledger failed elsewhere is not acknowledged either', async () => {
    wire.send(senml(1));
    const underway = await disk.batch(0);
    commit.halt(new Error('input/output error'));
    underway.kept();
    await wire.closed();
    expect(wire.acknowledged()).toEqual([]);
    expect(faults).toHaveLength(1);
  });

  test('while one batch is on its way the next one gathers, and goes when it is back', async () => {
    wire.send(senml(1));
    const first = await disk.batch(0);
    wire.send(senml(2));
    wire.send(senml(3));
    await sleep(AMPLE_MS);
    expect(disk.batches).toHaveLength(1);
    first.kept();
    expect((await disk.batch(1)).messages).toBe(2);
  });
});
