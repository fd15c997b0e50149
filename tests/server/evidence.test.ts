import type { MqttClient } from 'mqtt';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { fingerprint } from '../../edge/evidence/siteKey.ts';
import { verifyBundle } from '../../edge/evidence/verify.ts';
import { FoundView, RecallView, VerdictView } from '../../server/evidence/views.ts';
import { ask, problemOf, read, say, statementsFor } from '../support/api.ts';
import { degrees, mild, publishPast } from '../support/past.ts';
import { mqttClient } from '../support/probe.ts';
import { startService, type TestService } from '../support/service.ts';

let service: TestService;
let client: MqttClient;
const HOUR_MS = 3_600_000;
const nowMs = Date.now();

beforeAll(async () => {
  service = await startService();
  client = await mqttClient(service);
  for (const [joint, probe] of [
    ['j1', 'p1'],
    ['j2', 'p2'],
  ] as const) {
    for (const statement of statementsFor({ joint, probes: [probe], laidUpMs: nowMs - 30 * HOUR_MS }))
      await say(service, statement);
    await publishPast(client, probe, [degrees(mild)], nowMs, -31, 0);
  }
});
afterAll(async () => {
  await client.endAsync();
  await service[Symbol.asyncDispose]();
});

async function bytesOf(path: string, token = service.token): Promise<{ bytes: Uint8Array; headers: Headers }> {
  const response = await ask(service, path, { token });
  if (response.status !== 200) throw new Error(`GET ${path}: ${response.status} ${await response.text()}`);
  return { bytes: new Uint8Array(await response.arrayBuffer()), headers: response.headers };
}

function judge(body: Uint8Array<ArrayBuffer>, query = '', type = 'application/zip'): Promise<Response> {
  return fetch(`${service.httpUrl}/api/verify${query}`, {
    method: 'POST',
    headers: { authorization: `Bearer ${service.token}`, 'content-type': type },
    body,
  });
}

const newest = () => [...service.live.ledger.entries()].at(-1)?.entry;

describe('what is handed out', () => {
  test.each([
    ['/api/joints/j1/evidence.zip', 'warmhours-yard-j1.zip', ['j1'], null],
    ['/api/sumps/sump-of-j2/evidence.zip', 'warmhours-yard-sump-of-j2.zip', ['j2'], 'sump-of-j2'],
    ['/api/evidence.zip?joint=j2&joint=j1', 'warmhours-yard-2-joints.zip', ['j2', 'j1'], null],
    ['/api/evidence.zip?joint=j2&paper=a4', 'warmhours-yard-j2.zip', ['j2'], null],
  ])('%s is a good bundle of what was asked for', async (path, name, joints, sump) => {
    const { bytes, headers } = await bytesOf(path);
    expect(headers.get('content-type')).toBe('application/zip');
    expect(headers.get('content-disposition')).toBe(`attachment; filename="${name}"`);
    const { ok, summary, record } = verifyBundle(bytes, { trustedKey: fingerprint(service.live.publicKey) });
    expect([ok, summary?.joints, summary?.sump, summary?.keyCompared]).toEqual([true, joints, sump, true]);
    for (const { stages } of record?.joints ?? []) expect(stages.map(({ reachedAtMs }) => reachedAtMs)).not.toContain(null);
  });

  test('is on record: the joint was sealed because somebody asked', async () => {
    await publishPast(client, 'p1', [degrees(mild)], Date.now(), 0, 0);
    await bytesOf('/api/joints/j1/evidence.zip');
    expect(newest()).toMatchObject({ kind: 'joint.sealed', joint: 'j1', why: 'asked' });
  });

  test('the report alone, on either paper', async () => {
    for (const paper of ['letter', 'a4']) {
      const { bytes, headers } = await bytesOf(`/api/joints/j1/evidence.pdf?paper=${paper}`);
      expect(headers.get('content-type')).toBe('application/pdf');
      expect(headers.get('content-disposition')).toBe('attachment; filename="warmhours-yard-j1.pdf"');
      const text = Buffer.from(bytes).toString('latin1');
      expect(text.slice(0, 5)).toBe('%PDF-');
      expect(text).toContain(paper === 'a4' ? '/MediaBox [0 0 595.28 841.89]' : '/MediaBox [0 0 612 792]');
    }
  });

  test('the readings alone', async () => {
    const { bytes, headers } = await bytesOf('/api/joints/j2/evidence.csv');
    expect(headers.get('content-type')).toBe('text/csv; charset=utf-8; header=present');
    const [head, ...rows] = new TextDecoder().decode(bytes).trimEnd().split('\r\n');
    expect(head).toBe('source,quantity,utc,site_time,value,unit,arrival_utc');
    // Blocks go by the hour, so a few minutes may come with it that nothing rests on.
    const counted = rows.filter((row) => Date.parse(row.split(',')[2] ?? '') >= nowMs - 30.25 * HOUR_MS);
    expect(counted).toHaveLength(30.25 * 12 + 1);
    expect(rows.length - counted.length).toBeLessThan(12);
    for (const row of rows) expect(row).toMatch(/^p2,temperature,\S+Z,\S+\+00:00,\d+(\.\d+)?,Cel,\S+Z$/);
  });

  test('whoever is signed in may read, and nobody else', async () => {
    for (const role of ['claims', 'crew', 'quality'] as const)
      expect((await bytesOf('/api/joints/j2/evidence.csv', service.roleTokens[role])).bytes.length).toBeGreaterThan(1000);
    for (const path of ['/api/joints/j1/evidence.zip', '/api/evidence', '/api/lots/r1/recall'])
      expect((await problemOf(await ask(service, path, { token: null }))).code).toBe('sign-in-needed');
  });

  test('a head alone makes no packet', async () => {
    const { size } = service.live.ledger.tree;
    const { status } = await fetch(`${service.httpUrl}/api/joints/j1/evidence.zip`, {
      method: 'HEAD',
      headers: { authorization: `Bearer ${service.token}` },
    });
    expect([status, service.live.ledger.tree.size]).toEqual([404, size]);
  });

  test.each([
    ['/api/joints/none/evidence.zip', 'not-found'],
    ['/api/joints/none/evidence.pdf', 'not-found'],
    ['/api/joints/none/evidence.csv', 'not-found'],
    ['/api/sumps/none/evidence.zip', 'not-found'],
    ['/api/evidence.zip?joint=j1&joint=none', 'not-found'],
    ['/api/evidence.zip', 'bad-request'],
    ['/api/joints/j1/evidence.pdf?paper=foolscap', 'bad-request'],
    ['/api/lots/none/recall', 'not-found'],
    ['/api/evidence?from=yesterday', 'bad-request'],
    ['/api/evidence?finding=none', 'bad-request'],
    ['/api/evidence?colour=red', 'bad-request'],
  ])('%s is refused: %s', async (path, code) => {
    expect((await problemOf(await ask(service, path))).code).toBe(code);
  });
});

describe('judging what somebody brings', () => {
  const bundle = async () => new Uint8Array((await bytesOf('/api/joints/j1/evidence.zip')).bytes);

  test('says what the same bytes say elsewhere, good or not', async () => {
    const good = await bundle();
    const own = fingerprint(service.live.publicKey);
    for (const [bytes, key] of [
      [good, null],
      [good, own],
      [good, own.replace(/^./, (digit) => (digit === '0' ? '1' : '0'))],
      [good.slice(0, -1), null],
      [new Uint8Array(0), null],
    ] as const) {
      const answer = await judge(bytes, key === null ? '' : `?key=${encodeURIComponent(key)}`);
      expect(answer.status).toBe(200);
      expect(VerdictView.parse(await answer.json())).toEqual(verifyBundle(bytes, { trustedKey: key }));
    }
  });

  test('one at a time', async () => {
    const good = await bundle();
    const answers = await Promise.all(Array.from({ length: 4 }, () => judge(good)));
    const refused = answers.filter(({ status }) => status !== 200);
    expect(refused.length).toBeGreaterThan(0);
    expect(refused.length).toBeLessThan(4);
    for (const answer of refused) expect((await problemOf(answer)).code).toBe('busy');
    expect((await judge(good)).status).toBe(200);
  });

  test('neither another kind of file, nor a fingerprint that is none, nor too much', async () => {
    const bytes = new Uint8Array(10);
    expect((await problemOf(await judge(bytes, '', 'application/json'))).code).toBe('wrong-type');
    expect((await problemOf(await judge(bytes, '?key=12ab'))).code).toBe('bad-request');
    expect((await problemOf(await judge(new Uint8Array(64 * 1024 * 1024 + 1)))).code).toBe('too-large');
  });
});

describe('over HTTP', () => {
  test('joints are found, each with the address of its packet', async () => {
    const { total, joints } = await read(service, '/api/evidence?joint=j2', FoundView);
    expect([total, joints[0]?.joint, joints[0]?.packet]).toEqual([1, 'j2', '/api/joints/j2/evidence.zip']);
    expect((await bytesOf(joints[0]?.packet ?? '')).bytes.length).toBeGreaterThan(1000);
  });

  test('a lot is recalled', async () => {
    await say(service, { kind: 'lot.added', lot: 'r1', material: 'resin', label: 'Drum 1' });
    expect(await read(service, '/api/lots/r1/recall', RecallView)).toEqual({
      lot: 'r1',
      label: 'Drum 1',
      material: 'resin',
      joints: [],
    });
  });
});
