import { createHash } from 'node:crypto';
import { writeFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { sourceOf } from '../../edge/site/sources.ts';
import { addJoint, ask, problemOf } from '../support/api.ts';
import { runCli } from '../support/cli.ts';
import { startService, type TempFolder, type TestService, tempFolder } from '../support/service.ts';

const HOUR_MS = 3_600_000;
const MINUTE_MS = 60_000;
const startMs = Math.floor(Date.now() / HOUR_MS) * HOUR_MS - 30 * HOUR_MS;
const at = (minute: number) => new Date(startMs + minute * MINUTE_MS).toISOString();
/** An hour of minutes; `more` makes another file of it. */
const csv = (...more: string[]) =>
  ['time,celsius', ...Array.from({ length: 61 }, (_, minute) => `${at(minute)},${10 + minute / 60}`), ...more].join('\n');

const Imported = z.strictObject({
  source: z.string(),
  sha256: z.string(),
  rows: z.int(),
  rejected: z.array(z.strictObject({ line: z.int(), reason: z.string() })),
  rejectedTotal: z.int(),
  from: z.string(),
  to: z.string(),
});

let folder: TempFolder;
let service: TestService;
beforeAll(async () => {
  folder = tempFolder();
  service = await startService({ dataFolder: folder.path });
  await addJoint(service, { probes: ['p1'], laidUpMs: startMs });
});
afterAll(async () => {
  await service.stop();
  folder[Symbol.dispose]();
});

const post = (
  probe: string,
  body: string | Uint8Array<ArrayBuffer>,
  { name = 'log.csv', type = 'text/csv', token = service.token } = {},
) =>
  fetch(`${service.httpUrl}/api/probes/${probe}/imports?name=${encodeURIComponent(name)}`, {
    method: 'POST',
    headers: { authorization: `Bearer ${token}`, 'content-type': type },
    body,
  });
const keptOf = (source: string) => service.live.ledger.readings.range(source, 0, 0, Number.POSITIVE_INFINITY).atMs.length;
const lastEntry = () => [...service.live.ledger.entries()].at(-1)?.entry;

describe('a file for a probe', () => {
  test('is taken as a source of its own and put on record', async () => {
    const file = csv(`${at(61)},-127`, 'yesterday,20');
    const sha256 = createHash('sha256').update(file).digest('hex');
    const response = await post('p1', file, { name: 'north pit.csv', type: 'text/csv; charset=utf-8' });
    expect(response.status).toBe(201);
    const source = sourceOf('p1', sha256);
    const answer = Imported.parse(await response.json());
    expect(answer).toMatchObject({ source, sha256, rows: 61, rejectedTotal: 2, from: at(0), to: at(60) });
    expect(answer.rejected.map(({ line }) => line)).toEqual([63, 64]);
    expect(keptOf(source)).toBe(61);
    expect(keptOf('p1')).toBe(0);
    expect(lastEntry()).toMatchObject({
      kind: 'readings.imported',
      probe: 'p1',
      source,
      file: 'north pit.csv',
      sha256,
      rows: 61,
      rejected: 2,
      by: { name: 'api', role: 'admin' },
    });
  });

  test('that is in already is refused, under whatever name, and changes nothing', async () => {
    const before = lastEntry();
    const problem = await problemOf(await post('p1', csv(`${at(61)},-127`, 'yesterday,20'), { name: 'again.csv' }));
    expect(problem).toMatchObject({ status: 409, code: 'entry-refused' });
    expect(lastEntry()).toEqual(before);
  });

  test('is still taken once after a restart', async () => {
    await service.stop();
    service = await startService({ dataFolder: folder.path });
    expect(await problemOf(await post('p1', csv(`${at(61)},-127`, 'yesterday,20')))).toMatchObject({ code: 'entry-refused' });
    expect((await post('p1', csv(`${at(62)},11`))).status).toBe(201);
  });

  test('with many bad rows names the first fifty of them', async () => {
    const bad = Array.from({ length: 120 }, (_, index) => `${at(200 + index)},warm`);
    const answer = Imported.parse(await (await post('p1', csv(...bad))).json());
    expect([answer.rows, answer.rejected.length, answer.rejectedTotal]).toEqual([61, 50, 120]);
  });

  test('longer than any other request may have is taken', async () => {
    const rows = Array.from({ length: 40_000 }, (_, second) => `${new Date(startMs + second * 1000 + 500).toISOString()},12.5`);
    const answer = Imported.parse(await (await post('p1', `time,celsius\n${rows.join('\n')}`)).json());
    expect(answer.rows).toBe(40_000);
    expect(keptOf(answer.source)).toBe(40_000);
  });

  test.each<[string, string | Uint8Array<ArrayBuffer>, number, string, RegExp]>([
    ['nothing', '', 400, 'bad-request', /log\.csv is empty/],
    ['a header alone', 'time,celsius\n', 400, 'bad-request', /log\.csv has a header and no readings/],
    ['no usable row', `time,celsius\n${at(0)},-127\n`, 400, 'bad-request', /log\.csv has no usable reading/],
    ['other columns', 'when,what\n1,2\n', 400, 'bad-request', /no header found/],
    ['no text', new Uint8Array([137, 80, 78, 71, 0, 0]), 400, 'bad-request', /this is no text/],
    ['20 MiB and a byte', new Uint8Array(20 * 1024 * 1024 + 1).fill(10), 413, 'too-large', /./],
  ])('of %s is refused', async (_, body, status, code, detail) => {
    const before = lastEntry();
    const problem = await problemOf(await post('p1', body));
    expect(problem).toMatchObject({ status, code });
    expect(problem.detail).toMatch(detail);
    expect(lastEntry()).toEqual(before);
  });

  test('of a clock that runs ahead, or was never set: each such row is rejected, the others are taken', async () => {
    const ahead = at(40 * 60);
    const body = `time,celsius\n${at(0)},12.125\n${ahead},12\n2000-01-01T00:00:00Z,12\n${at(1)},12.25\n`;
    const answer = Imported.parse(await (await post('p1', body)).json());
    expect(answer).toMatchObject({ rows: 2, rejectedTotal: 2, from: at(0), to: at(1) });
    expect(answer.rejected).toEqual([
      { line: 3, reason: expect.stringMatching(new RegExp(`^${ahead} lies in the future; it is .* here$`)) },
      { line: 4, reason: '2000-01-01T00:00:00.000Z lies before 2015; check the clock of the logger' },
    ]);
    expect(keptOf(answer.source)).toBe(2);
  });

  test('with no row of a time that was is refused', async () => {
    const before = lastEntry();
    const problem = await problemOf(await post('p1', `time,celsius\n${at(40 * 60)},12\n2000-01-01T00:00:00Z,12\n`));
    expect(problem).toMatchObject({ status: 400, code: 'bad-request', faults: [{ path: 'line 2' }, { path: 'line 3' }] });
    expect(lastEntry()).toEqual(before);
  });

  test('is one probe’s: for another one it has to be taken back first', async () => {
    await ask(service, '/api/entries', { method: 'POST', body: { kind: 'probe.registered', probe: 'p2', role: 'material' } });
    const file = csv(`${at(63)},12.5`);
    expect((await post('p1', file)).status).toBe(201);
    const seq = [...service.live.ledger.entries()].at(-1)?.seq;
    const problem = await problemOf(await post('p2', file, { name: 'again.csv' }));
    expect(problem).toMatchObject({ status: 409, code: 'entry-refused', faults: [{ path: 'file' }] });
    expect(problem.detail).toMatch(/the same file is imported for probe "p1"/);
    const takenBack = { kind: 'entry.withdrawn', seq, reason: 'it was the logger of p2' };
    expect((await ask(service, '/api/entries', { method: 'POST', body: takenBack })).status).toBe(201);
    expect((await post('p2', file)).status).toBe(201);
  });

  test('without a usable row is answered with the faults of its rows', async () => {
    const { faults } = await problemOf(await post('p1', `time,celsius\n${at(0)},-127\n${at(1)},warm\n`));
    expect(faults).toEqual([
      { path: 'line 2', message: '−127 °C is what a missing sensor reads' },
      { path: 'line 3', message: 'celsius "warm" is not a number' },
    ]);
  });

  test('needs a registered probe, a name, CSV, and somebody who is signed in', async () => {
    expect(await problemOf(await post('p9', csv()))).toMatchObject({ status: 404, code: 'not-found' });
    expect(await problemOf(await post('p1', csv(), { name: ' ' }))).toMatchObject({ status: 400, code: 'bad-request' });
    expect(await problemOf(await post('p1', csv(), { type: 'application/json' }))).toMatchObject({
      status: 415,
      code: 'wrong-type',
    });
    expect(await problemOf(await post('p1', csv(), { token: 'x'.repeat(40) }))).toMatchObject({ status: 401, code: 'bad-token' });
    const elsewhere = await ask(service, '/api/entries', { method: 'POST', headers: { 'content-type': 'text/csv' }, body: {} });
    expect(await problemOf(elsewhere)).toMatchObject({ status: 415, code: 'wrong-type' });
  });
});

describe('the verb', () => {
  test('imports a file and says what became of it; a second time it says that the file is in', async () => {
    using own = tempFolder();
    const file = `${own.path}/from the pit.csv`;
    writeFileSync(file, csv(`${at(70)},12.25`, `${at(71)},85`));
    const args = ['import', file, '--probe', 'p1', '--url', service.httpUrl];
    const first = await runCli(args, { WARMHOURS_TOKEN: service.token });
    expect(first).toMatchObject({ code: 0, err: '' });
    expect(first.out).toMatch(
      /^62 rows taken for probe "p1", from .*Z to .*Z \(UTC\), as "p1#[0-9a-f]{12}"\n1 rejected:\n {2}line 64: 85\.0 °C/,
    );
    expect(lastEntry()).toMatchObject({ kind: 'readings.imported', file: 'from the pit.csv' });

    const second = await runCli([...args, '--token', service.token]);
    expect(second).toMatchObject({ code: 1, out: '' });
    expect(second.err).toMatch(/^import: /);
    const stranger = await runCli(args, { WARMHOURS_TOKEN: 'x'.repeat(40) });
    expect(stranger).toMatchObject({ code: 1, out: '' });
    expect(stranger.err).toMatch(/^import: check the access token/);
  });
});
