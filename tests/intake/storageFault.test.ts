import { join } from 'node:path';
import { expect, test } from 'vitest';
import { z } from 'zod';
import { SiteView } from '../../edge/site/views/site.ts';
import { addJoint, ask, problemOf, read } from '../support/api.ts';
import { checkLedger } from '../support/ledgerCheck.ts';
import { mqttClient, senmlTopic, temperature } from '../support/probe.ts';
import { spawnService, tempFolder } from '../support/service.ts';

const Health = z.object({ status: z.string(), recording: z.boolean() });
const MINUTE_MS = 60_000;
/** Room for the tables and some thousand readings. */
const KILOBYTES = 400;

test('a disk that takes no more stops every acknowledgement, says so everywhere, and loses nothing acknowledged', async () => {
  using folder = tempFolder();
  const firstMs = Date.now() - 60 * 24 * 60 * MINUTE_MS;
  const acknowledged: number[] = [];
  {
    await using service = await spawnService({ dataFolder: folder.path, fileKilobytesMost: KILOBYTES });
    await addJoint(service);
    expect(await read(service, '/api/health', Health)).toMatchObject({ status: 'ok', recording: true });
    const stream = await ask(service, '/api/live');

    const client = await mqttClient(service);
    const broken = Promise.withResolvers<void>();
    client.on('close', broken.resolve);
    client.on('error', () => {});
    let sent = 0;
    const more = () => {
      for (; sent < 60_000 && sent - acknowledged.length < 200; sent++) {
        const minute = sent;
        const pack = JSON.stringify([temperature((minute % 400) / 16, firstMs + minute * MINUTE_MS)]);
        client.publish(senmlTopic('p1'), pack, { qos: 1 }, (fault) => {
          if (fault) return;
          acknowledged.push(minute);
          more();
        });
      }
    };
    more();
    await broken.promise;
    await client.endAsync(true);
    expect(acknowledged.length).toBeGreaterThan(200);
    expect(acknowledged.length).toBeLessThan(60_000);

    expect(await read(service, '/api/health', Health)).toMatchObject({ status: 'failing', recording: false });
    expect(await read(service, '/api/site', SiteView)).toMatchObject({ recording: false });
    const refused = await ask(service, '/api/entries', { method: 'POST', body: { kind: 'note.added', text: 'still there?' } });
    expect(await problemOf(refused)).toMatchObject({ code: 'not-recording', status: 503 });
    // Once is enough in the log, however many messages wait.
    expect(service.err().match(/NOT RECORDING/g)).toHaveLength(1);
    expect(service.err().split('\n').length).toBeLessThan(50);

    const again = await mqttClient(service);
    again.on('error', () => {});
    const closed = new Promise((resolve) => again.on('close', () => resolve(null)));
    const late = again.publishAsync(senmlTopic('p1'), JSON.stringify([temperature(1, Date.now())]), { qos: 1 }).then(
      () => 'acknowledged',
      () => 'not acknowledged',
    );
    await closed;
    await again.endAsync(true);
    expect(await late).toBe('not acknowledged');

    const told = await textUntil(stream, /event: beat\ndata: \{[^\n]*"recording":false/);
    expect(told).toMatch(/event: site\ndata: \{[^\n]*"recording":true/);
  }
  // With room again, the same folder goes on.
  await using service = await spawnService({ dataFolder: folder.path });
  expect(await read(service, '/api/health', Health)).toMatchObject({ status: 'ok', recording: true });
  expect(await service.stop()).toBe(0);
  const own = checkLedger(join(folder.path, 'ledger.db')).get('0/p1');
  const missing = acknowledged.filter(
    (minute) => own?.get(firstMs + minute * MINUTE_MS)?.value !== Math.round(((minute % 400) / 16) * 1000),
  );
  expect(missing).toEqual([]);
});

/** What a stream has said by the time it matches. */
async function textUntil(stream: Response, wanted: RegExp): Promise<string> {
  let text = '';
  const decoder = new TextDecoder();
  for await (const chunk of stream.body ?? []) {
    text += decoder.decode(chunk, { stream: true });
    if (wanted.test(text)) return text;
  }
  throw new Error(`the stream ended after ${text}`);
}
