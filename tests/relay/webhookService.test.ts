import { join } from 'node:path';
import { expect, test } from 'vitest';
import { Ledger } from '../../edge/ledger/ledger.ts';
import { keyIn, signedHeaders } from '../../edge/relay/signature.ts';
import { say } from '../support/api.ts';
import { startService, tempFolder } from '../support/service.ts';
import { startReceiver } from './receiver.ts';

const key = keyIn('whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw') ?? expect.fail('no key');
const WARNING = `cold-ahead:j1:${Date.now()}`;

/** As the program of a service that has stopped wrote it at last. */
async function raise(dataFolder: string): Promise<void> {
  const ledger = new Ledger(join(dataFolder, 'ledger.db'));
  const statement = { kind: 'warning.raised', warning: WARNING, code: 'cold-ahead', owner: 'j1', numbers: { atMs: 1 } } as const;
  ledger.append([{ statement, by: { name: 'warmhours', role: 'system' } }], Date.now());
  await ledger.close();
}

test('what was raised while the receiver or the program was down arrives, and so does what people say of it', async () => {
  using folder = tempFolder();
  await using receiver = await startReceiver();
  const webhook = { url: receiver.url, key };
  {
    await using service = await startService({ dataFolder: folder.path, webhook });
    await say(service, { kind: 'note.added', text: 'no warning' });
  }
  await raise(folder.path);
  receiver.script.push({ status: 503 });
  await using service = await startService({ dataFolder: folder.path, webhook });
  await expect.poll(() => receiver.received.length, { timeout: 10_000 }).toBe(2);
  await say(service, { kind: 'warning.acknowledged', warning: WARNING });
  await expect.poll(() => receiver.received.length, { timeout: 10_000 }).toBe(3);
  expect(receiver.received.map(({ body }) => JSON.parse(body))).toMatchObject([
    { type: 'warning.raised', site: 'yard', data: { warning: WARNING, owner: 'j1' } },
    { type: 'warning.raised', site: 'yard', data: { warning: WARNING, owner: 'j1' } },
    { type: 'warning.acknowledged', site: 'yard', data: { warning: WARNING } },
  ]);
  for (const { headers, body } of receiver.received)
    expect(headers).toMatchObject(signedHeaders(key, String(headers['webhook-id']), Number(headers['webhook-timestamp']), body));
  expect(service.said).toEqual([
    expect.stringMatching(/^WEBHOOK: 127\.0\.0\.1:\d+ takes no warnings \(it answers 503\)/),
    expect.stringMatching(/takes warnings again$/),
  ]);
});

test('a receiver and a forecast source that hang hold up neither the start nor the end of the program', async () => {
  using folder = tempFolder();
  await using receiver = await startReceiver();
  receiver.otherwise = () => {};
  const webhook = { url: `${receiver.url}/hook`, key };
  await (await startService({ dataFolder: folder.path, webhook })).stop();
  await raise(folder.path);
  const forecast = { url: `${receiver.url}/forecast`, shape: null, header: null };
  const service = await startService({ dataFolder: folder.path, webhook, forecast });
  await expect.poll(() => receiver.received.map(({ url }) => url).sort()).toEqual(['/forecast', '/hook']);
  const stoppedFromMs = performance.now();
  await service.stop();
  expect(performance.now() - stoppedFromMs).toBeLessThan(10_000);
  expect(service.said).toEqual([]);
});
