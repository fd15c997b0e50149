import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { ask, problemOf, say } from '../support/api.ts';
import { startService, type TestService } from '../support/service.ts';

let service: TestService;
beforeAll(async () => {
  service = await startService();
  await say(service, { kind: 'sump.added', sump: 's1', label: 'Sump 1' });
});
afterAll(() => service[Symbol.asyncDispose]());

const NOTE = { kind: 'note.added', text: 'Blanket on.' };
const OWN_NAME = { kind: 'site.described', name: 'North yard', timeZone: 'America/Chicago' };

describe('the token says the role', () => {
  test.each(['crew', 'quality', 'claims'] as const)('%s', async (role) => {
    const token = service.roleTokens[role];
    const answer = await ask(service, '/api/session', { token });
    expect(await answer.json()).toMatchObject({ name: 'api', role });
    const signedIn = await ask(service, '/api/session', { method: 'POST', body: { name: 'R. Oak', token }, token: null });
    expect(await signedIn.json()).toMatchObject({ name: 'R. Oak', role });
  });

  test('tokens differ, so that nobody gets a role by another one’s', () => {
    expect(new Set([service.token, ...Object.values(service.roleTokens)]).size).toBe(4);
  });

  test('it is written into the entry', async () => {
    const answer = await ask(service, '/api/entries', { method: 'POST', body: NOTE, token: service.roleTokens.crew });
    const { seq } = (await answer.json()) as { seq: number };
    const entry = [...service.live.ledger.entries()].find((one) => one.seq === seq)?.entry;
    expect(entry?.by).toEqual({ name: 'api', role: 'crew' });
  });
});

test('a program says who it acts for', async () => {
  const headers = { 'warmhours-name': encodeURIComponent('Zoë Oak') };
  const token = service.roleTokens.crew;
  const said = await ask(service, '/api/entries', { method: 'POST', body: NOTE, token, headers });
  const { seq } = (await said.json()) as { seq: number };
  expect([...service.live.ledger.entries()].find((one) => one.seq === seq)?.entry.by).toEqual({ name: 'Zoë Oak', role: 'crew' });
  for (const name of ['', '%20', '%ff', 'x'.repeat(121)])
    expect((await problemOf(await ask(service, '/api/site', { token, headers: { 'warmhours-name': name } }))).code).toBe(
      'bad-request',
    );
});

describe('what a role may not say is refused, and leaves nothing behind', () => {
  test.each([
    ['claims', NOTE, 403],
    ['crew', OWN_NAME, 403],
    ['quality', OWN_NAME, 201],
  ] as const)('%s', async (role, body, status) => {
    const before = [...service.live.ledger.entries()].length;
    const answer = await ask(service, '/api/entries', { method: 'POST', body, token: service.roleTokens[role] });
    expect(answer.status).toBe(status);
    if (status === 403) expect((await problemOf(answer)).code).toBe('wrong-role');
    expect([...service.live.ledger.entries()].length - before).toBe(status === 201 ? 1 : 0);
  });

  test('claims staff read everything', async () => {
    for (const path of ['/api/site', '/api/schedules', '/api/sequences', '/api/lots', '/api/quarantine'])
      expect((await ask(service, path, { token: service.roleTokens.claims })).status, path).toBe(200);
  });
});
