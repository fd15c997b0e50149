import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { setTimeout as sleep } from 'node:timers/promises';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { canonicalJson } from '../../edge/evidence/canonical.ts';
import { parseCheckpoint } from '../../edge/evidence/checkpoint.ts';
import { leafHash } from '../../edge/evidence/leaf.ts';
import { isConsistent, rootOf } from '../../edge/evidence/merkle.ts';
import { parseNote, verifyNote } from '../../edge/evidence/note.ts';
import { publicKeyOfPem } from '../../edge/evidence/siteKey.ts';
import { ask, problemOf, read, say } from '../support/api.ts';
import { mqttClient, publishReadings, temperature } from '../support/probe.ts';
import { startService, type TestService, tempFolder } from '../support/service.ts';

const Leaf = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('entry'), seq: z.int(), hash: z.string(), entry: z.record(z.string(), z.unknown()) }),
  z.strictObject({ kind: z.literal('block'), seq: z.int(), hash: z.string(), block: z.string() }),
]);
const Leaves = z.strictObject({ size: z.int(), leaves: z.array(Leaf) });
const Consistency = z.strictObject({
  from: z.int(),
  fromRoot: z.string(),
  to: z.int(),
  toRoot: z.string(),
  proof: z.array(z.string()),
});

let service: TestService;
/** Sizes of two checkpoints. */
let first: number;
let second: number;
beforeAll(async () => {
  service = await startService();
  for (const sump of ['s1', 's2', 's3']) await say(service, { kind: 'sump.added', sump, label: `Sump ${sump}` });
  await say(service, { kind: 'probe.registered', probe: 'p1', role: 'material' });
  await say(service, {
    kind: 'joint.added',
    joint: 'j1',
    sump: 's1',
    label: 'One',
    schedule: 'polyester-laminate',
    probes: ['p1'],
  });
  first = await service.live.sealJoint('j1');
  const probe = await mqttClient(service);
  await publishReadings(probe, 'p1', [temperature(15, Date.now() - 60_000), temperature(15.5, Date.now() - 1_000)]);
  await probe.endAsync();
  second = await service.live.sealJoint('j1');
});
afterAll(() => service[Symbol.asyncDispose]());

const unhex = (text: string) => Uint8Array.from(Buffer.from(text, 'hex'));
const textOf = async (path: string) => {
  const answer = await ask(service, path);
  expect([answer.status, answer.headers.get('content-type')]).toEqual([200, 'text/plain; charset=utf-8']);
  return answer.text();
};
const checkpoint = async (at?: number) => {
  const note = parseNote(await textOf(`/api/ledger/checkpoint${at === undefined ? '' : `?at=${at}`}`));
  const key = publicKeyOfPem(await textOf('/api/ledger/key')) ?? expect.fail('that is no key');
  expect(verifyNote(note, 'warmhours/yard', key)).toBe(true);
  return parseCheckpoint(note.text);
};

describe('the ledger over HTTP', () => {
  test('gives every leaf with the hash of its bytes, and they make up the root that was signed', async () => {
    const { size, leaves } = await read(service, '/api/ledger', Leaves);
    expect(leaves.map(({ seq }) => seq)).toEqual(Array.from({ length: size }, (_, index) => index + 1));
    for (const leaf of leaves) {
      const body = leaf.kind === 'entry' ? Buffer.from(canonicalJson(leaf.entry)) : Buffer.from(leaf.block, 'base64');
      expect(leaf.hash, `leaf ${leaf.seq}`).toBe(Buffer.from(leafHash(body)).toString('hex'));
    }
    expect(leaves.map(({ kind }) => kind)).toContain('block');
    const signed = await checkpoint(second);
    expect(signed.rootHash).toEqual(rootOf(leaves.slice(0, second).map(({ hash }) => unhex(hash))));
  });

  test('gives them piece by piece', async () => {
    const whole = await read(service, '/api/ledger?after=0', Leaves);
    const pieces: unknown[] = [];
    for (let after = 0; ; ) {
      const { leaves } = await read(service, `/api/ledger?after=${after}&limit=3`, Leaves);
      expect(leaves.length).toBeLessThanOrEqual(3);
      if (leaves.length === 0) break;
      pieces.push(...leaves);
      after = leaves.at(-1)?.seq ?? 0;
    }
    expect(pieces).toEqual(whole.leaves);
    expect((await read(service, '/api/ledger?after=1000000', Leaves)).leaves).toEqual([]);
  });

  test('gives the newest checkpoint, and older ones by their size', async () => {
    expect((await checkpoint()).size).toBe(second);
    expect((await checkpoint(first)).size).toBe(first);
    expect(first).toBeLessThan(second);
    const missing = await ask(service, `/api/ledger/checkpoint?at=${first - 1}`);
    expect(await problemOf(missing)).toMatchObject({ code: 'not-found', detail: `nothing was signed for ${first - 1} leaves` });
  });

  test('proves that one checkpoint goes on from the other', async () => {
    const [old, newer] = [await checkpoint(first), await checkpoint(second)];
    const { fromRoot, toRoot, proof } = await read(service, `/api/ledger/consistency?from=${first}&to=${second}`, Consistency);
    expect([unhex(fromRoot), unhex(toRoot)]).toEqual([old.rootHash, newer.rootHash]);
    expect(isConsistent(first, old.rootHash, second, newer.rootHash, proof.map(unhex))).toBe(true);
    expect(isConsistent(first, old.rootHash, second, newer.rootHash, proof.slice(1).map(unhex))).toBe(false);
  });

  test.each([
    ['/api/ledger?after=-1', 'bad-request'],
    ['/api/ledger?limit=1001', 'bad-request'],
    ['/api/ledger?limit=0', 'bad-request'],
    ['/api/ledger?since=1', 'bad-request'],
    ['/api/ledger/checkpoint?at=x', 'bad-request'],
    ['/api/ledger/consistency', 'bad-request'],
    ['/api/ledger/consistency?from=0&to=1', 'bad-request'],
    ['/api/ledger/consistency?from=3&to=2', 'bad-request'],
    ['/api/ledger/consistency?from=1&to=1000000', 'not-found'],
  ])('refuses %s as %s', async (path, code) => {
    expect((await problemOf(await ask(service, path))).code).toBe(code);
  });

  test('is for everybody who is signed in, and for nobody else', async () => {
    for (const path of ['/api/ledger', '/api/ledger/checkpoint', '/api/ledger/key', '/api/ledger/consistency?from=1&to=2']) {
      for (const token of Object.values(service.roleTokens)) expect((await ask(service, path, { token })).status, path).toBe(200);
      expect((await problemOf(await ask(service, path, { token: null }))).code, path).toBe('sign-in-needed');
    }
  });

  test('is signed for at the start already, by a key of the site’s own', async () => {
    await using other = await startService({ site: 'other' });
    const pem = await (await ask(other, '/api/ledger/key')).text();
    expect(pem).not.toBe(await textOf('/api/ledger/key'));
    let answer = await ask(other, '/api/ledger/checkpoint');
    for (let tries = 0; answer.status !== 200 && tries < 50; tries++) {
      await sleep(50);
      answer = await ask(other, '/api/ledger/checkpoint');
    }
    const note = parseNote(await answer.text());
    expect(verifyNote(note, 'warmhours/other', publicKeyOfPem(pem) ?? new Uint8Array(32))).toBe(true);
  });
});

test('a ledger that is not the one that was signed for is shown, and everybody is told that nothing is recorded', async () => {
  using folder = tempFolder();
  {
    await using before = await startService({ dataFolder: folder.path });
    await say(before, { kind: 'sump.added', sump: 's1', label: 'North' });
    await before.live.sealJoint();
  }
  const database = new DatabaseSync(join(folder.path, 'ledger.db'));
  database.exec('DROP TRIGGER leaf_is_never_removed; DELETE FROM leaf WHERE seq = (SELECT max(seq) FROM leaf)');
  const count = () => database.prepare('SELECT count(*) AS n FROM leaf').get()?.n;
  const left = count();
  await using after = await startService({ dataFolder: folder.path });
  expect(after.said.join('\n')).toMatch(/^NOT RECORDING: .*some are missing; nothing was deleted/);
  expect(await (await ask(after, '/api/health')).json()).toMatchObject({ recording: false });
  const refused = await ask(after, '/api/entries', { method: 'POST', body: { kind: 'note.added', text: 'x' } });
  expect((await problemOf(refused)).code).toBe('not-recording');
  expect(count()).toBe(left);
  database.close();
});
