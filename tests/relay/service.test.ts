import { once } from 'node:events';
import { type AddressInfo, createServer, type Socket } from 'node:net';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import type { InfluxSettings } from '../../edge/config.ts';
import { readingsBetween } from '../support/ledgerCheck.ts';
import { mqttClient, publishReadings, temperature } from '../support/probe.ts';
import { MINUTE_MS } from '../support/readings.ts';
import { startService, tempFolder } from '../support/service.ts';
import { freePort, startVictoria } from './victoria.ts';

const PROBES = ['p1', 'p2', 'p3'];
/** Two hours of readings that have ended by now. */
const COUNT = 120;
const engineAt = (port: number): InfluxSettings => ({ url: `http://127.0.0.1:${port}`, org: '', bucket: 'cure', token: '' });

/** Publishes past readings to a service that has no engine, and stops it: the next start seals them. */
async function deliverPast(dataFolder: string, fromMs: number): Promise<void> {
  await using service = await startService({ dataFolder });
  const client = await mqttClient(service);
  for (const [number, probe] of PROBES.entries()) {
    const pack = Array.from({ length: COUNT }, (_, minute) => temperature(number + minute / 16, fromMs + minute * MINUTE_MS));
    await publishReadings(client, probe, pack);
  }
  await client.endAsync();
}

test('an engine that hangs holds up neither an acknowledgement nor the end of the program', async () => {
  using folder = tempFolder();
  await deliverPast(folder.path, Date.now() - 5 * 60 * MINUTE_MS);
  const sockets: Socket[] = [];
  const hanging = createServer((socket) => sockets.push(socket.on('error', () => {}).resume())).listen(0, '127.0.0.1');
  await once(hanging, 'listening');

  const service = await startService({ dataFolder: folder.path, influx: engineAt((hanging.address() as AddressInfo).port) });
  await expect.poll(() => sockets.length).toBe(1);
  const client = await mqttClient(service);
  for (let index = 0; index < 20; index++) await publishReadings(client, 'p1', [temperature(7, Date.now() - index)]);
  await client.endAsync();
  // Still the same batch: it got no answer in all this time.
  expect(sockets.map(({ destroyed }) => destroyed)).toEqual([false]);
  const stoppedFromMs = performance.now();
  await service.stop();
  expect(performance.now() - stoppedFromMs).toBeLessThan(10_000);
  expect(service.said).toEqual([]);
  for (const socket of sockets) socket.destroy();
  hanging.close();
});

test('while the engine is down readings are acknowledged; when it comes, it gets every sealed one', async () => {
  using folder = tempFolder();
  const fromMs = Date.now() - 5 * 60 * MINUTE_MS;
  await deliverPast(folder.path, fromMs);
  const port = await freePort();
  await using service = await startService({ dataFolder: folder.path, influx: engineAt(port) });
  await expect.poll(() => service.said).toEqual([expect.stringMatching(/^MIRROR: .*gets no readings \(connect ECONNREFUSED/)]);
  const client = await mqttClient(service);
  await publishReadings(client, 'p1', [temperature(7, Date.now())]);
  await client.endAsync();

  await using victoria = await startVictoria(join(folder.path, 'victoria'), port);
  const kept = readingsBetween(join(folder.path, 'ledger.db'), fromMs, fromMs + COUNT * MINUTE_MS);
  const expected = new Map(
    PROBES.map((probe) => {
      const own = [...(kept.get(`0/${probe}`)?.values() ?? [])];
      return [`temperature_value/yard/${probe}`, new Map(own.map(({ atMs, value }) => [atMs, value / 1000]))];
    }),
  );
  expect([...expected.values()].map(({ size }) => size)).toEqual(PROBES.map(() => COUNT));
  await expect.poll(() => victoria.samples(), { timeout: 25_000, interval: 200 }).toEqual(expected);
  await expect.poll(() => service.said.slice(1)).toEqual([expect.stringMatching(/takes readings again$/)]);
}, 60_000);
