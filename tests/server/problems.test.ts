import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import { type ErrorCode, errorCodes } from '../../edge/errors.ts';
import { addJoint, ask, problemOf } from '../support/api.ts';
import { startService, type TestService } from '../support/service.ts';

let service: TestService;
const seen = new Set<string>();

beforeAll(async () => {
  service = await startService();
  await addJoint(service, { laidUpMs: Date.now() - 3_600_000 });
});
afterAll(() => service[Symbol.asyncDispose]());

const post = (body: unknown, headers: Record<string, string> = {}) =>
  ask(service, '/api/entries', { method: 'POST', body, headers });
const raw = (body: string, type: string) =>
  fetch(`${service.httpUrl}/api/entries`, {
    method: 'POST',
    headers: { authorization: `Bearer ${service.token}`, 'content-type': type },
    body,
  });

async function expectProblem(response: Response, code: ErrorCode): Promise<Awaited<ReturnType<typeof problemOf>>> {
  const problem = await problemOf(response);
  const { status, title } = errorCodes[code];
  expect(problem).toMatchObject({ type: `urn:warmhours:problem:${code}`, code, status, title });
  expect(problem.detail).not.toBe('');
  seen.add(code);
  return problem;
}

describe('a refusal is a problem document with a stable code', () => {
  test('bad-request: no JSON, empty JSON, a broken address', async () => {
    expect((await expectProblem(await raw('{"kind":', 'application/json'), 'bad-request')).detail).toMatch(/JSON/);
    await expectProblem(await raw('', 'application/json'), 'bad-request');
    await expectProblem(await ask(service, '/api/joints/%E0%A4%A'), 'bad-request');
    await expectProblem(await ask(service, `/api/joints/${'j'.repeat(500)}`), 'bad-request');
  });

  test('bad-entry: every fault at once, each with its path', async () => {
    const problem = await expectProblem(
      await post({ kind: 'probe.registered', probe: 'no/slash', role: 'lid', uncertaintyCelsius: 9, colour: 'red' }),
      'bad-entry',
    );
    expect(problem.faults.map(({ path }) => path).sort()).toEqual(['colour', 'probe', 'role', 'uncertaintyCelsius']);
    const unknown = await expectProblem(await post({ kind: 'joint.painted' }), 'bad-entry');
    expect(unknown.faults[0]).toMatchObject({ path: 'kind', message: expect.stringContaining('joint.laidUp') });
    expect((await expectProblem(await post([]), 'bad-entry')).faults).toHaveLength(1);
    const time = await expectProblem(await post({ kind: 'joint.laidUp', joint: 'j1', at: '2026-01-15 14:30' }), 'bad-entry');
    expect(time.faults).toEqual([{ path: 'at', message: expect.stringContaining('ISO 8601 with an offset') }]);
  });

  test('entry-refused: every fault at once, against what the site knows', async () => {
    const joint = {
      kind: 'joint.added',
      joint: 'j1',
      sump: 'none',
      label: 'Again',
      schedule: 'chewing-gum',
      probes: ['p1'],
      ambient: 'p1',
    };
    const { faults, detail } = await expectProblem(await post(joint), 'entry-refused');
    expect(faults.map(({ path }) => path)).toEqual(['joint', 'sump', 'schedule', 'ambient', 'ambient']);
    for (const { path, message } of faults) expect(detail).toContain(`${path}: ${message}`);
    expect(faults[2]?.message).toContain('polyester-laminate');
    const future = { kind: 'joint.laidUp', joint: 'j1', at: new Date(Date.now() + 3_600_000).toISOString() };
    expect((await expectProblem(await post(future), 'entry-refused')).faults[0]?.path).toBe('at');
  });

  test('wrong-role: who may, and as what one is signed in', async () => {
    const own = { kind: 'site.described', name: 'Yard', timeZone: 'UTC' };
    const answer = await ask(service, '/api/entries', { method: 'POST', body: own, token: service.roleTokens.crew });
    expect((await expectProblem(answer, 'wrong-role')).detail).toBe('that takes quality or admin; you are signed in as crew');
  });

  test('entry-questioned: every question with the code that confirms it', async () => {
    const at = new Date(Date.now() - 72 * 3_600_000).toISOString();
    const resin = { resin: { value: 1, unit: 'quart' }, catalystMillilitres: 15 };
    const mixed = { kind: 'mix.recorded', joint: 'j1', at, ...resin, resinCelsius: 68, airCelsius: 70 };
    const { faults } = await expectProblem(await post(mixed), 'entry-questioned');
    expect(faults.map(({ path, confirm }) => [path, confirm])).toEqual([
      ['resinCelsius', 'maybe-fahrenheit'],
      ['airCelsius', 'maybe-fahrenheit'],
      ['at', 'before-sump'],
    ]);
    expect((await post({ ...mixed, confirmed: ['maybe-fahrenheit', 'before-sump'] })).status).toBe(201);
  });

  test('a refused entry leaves nothing behind', async () => {
    const before = [...service.live.ledger.entries()].length;
    await post({ kind: 'sump.added', sump: 'sump-of-j1', label: 'Twice' });
    expect([...service.live.ledger.entries()]).toHaveLength(before);
  });

  test('sign-in-needed, bad-token, wrong-origin', async () => {
    await expectProblem(await ask(service, '/api/site', { token: null }), 'sign-in-needed');
    await expectProblem(await ask(service, '/api/site', { token: 'wrong' }), 'bad-token');
    await expectProblem(await post({ kind: 'note.added', text: 'x' }, { origin: 'http://elsewhere.example' }), 'wrong-origin');
  });

  test('too-many', async () => {
    await using own = await startService();
    let last = await ask(own, '/api/site', { token: 'wrong' });
    for (let guess = 0; guess < 10; guess++) last = await ask(own, '/api/site', { token: 'wrong' });
    await expectProblem(last, 'too-many');
  });

  test('busy: the same packet while it is being made', async () => {
    const answers = await Promise.all(Array.from({ length: 4 }, () => ask(service, '/api/joints/j1/evidence.csv')));
    const refused = answers.filter(({ status }) => status !== 200);
    expect(refused).not.toEqual([]);
    for (const answer of refused) await expectProblem(answer, 'busy');
    expect(answers).not.toHaveLength(refused.length);
  });

  test('not-found: things and addresses', async () => {
    await expectProblem(await ask(service, '/api/joints/none'), 'not-found');
    await expectProblem(await ask(service, '/api/nothing'), 'not-found');
    await expectProblem(await ask(service, '/api/site', { method: 'POST', body: {} }), 'not-found');
    await expectProblem(await ask(service, '/no/such/picture.png'), 'not-found');
  });

  test('too-large and wrong-type', async () => {
    await expectProblem(await post({ kind: 'note.added', text: 'x'.repeat(64 * 1024) }), 'too-large');
    await expectProblem(await raw('kind=note.added', 'application/x-www-form-urlencoded'), 'wrong-type');
    await expectProblem(await raw('<note/>', 'application/xml'), 'wrong-type');
  });

  test('internal: without a word of what went wrong inside', async () => {
    const logged = vi.spyOn(process.stderr, 'write').mockReturnValue(true);
    const view = vi.spyOn(service.live.views, 'whole').mockImplementation(() => {
      throw new Error('secret of the house');
    });
    const problem = await expectProblem(await ask(service, '/api/site'), 'internal');
    view.mockRestore();
    expect(JSON.stringify(problem)).not.toContain('secret of the house');
    expect(logged.mock.calls.join()).toContain('secret of the house');
    logged.mockRestore();
  });

  test('every code has been met, but for those that need a broken disk or a broken clock', () => {
    // tests/intake/storageFault.test.ts meets it.
    const elsewhere: ErrorCode[] = ['not-recording', 'clock-not-set'];
    expect([...seen, ...elsewhere].sort()).toEqual(Object.keys(errorCodes).sort());
  });
});

describe('DEVELOPERS.md', () => {
  test('lists exactly the codes there are, with their status', () => {
    const text = readFileSync(join(import.meta.dirname, '..', '..', 'DEVELOPERS.md'), 'utf8');
    const section = text.split(/^## Error codes$/m)[1]?.split(/^## /m)[0] ?? '';
    const rows = [...section.matchAll(/^\| *`([a-z-]+)` *\|([^\n]*)/gm)];
    expect(rows.map(([, code]) => code).sort()).toEqual(Object.keys(errorCodes).sort());
    for (const [, code = '', rest = ''] of rows) expect(rest, code).toContain(String(errorCodes[code as ErrorCode].status));
  });
});
