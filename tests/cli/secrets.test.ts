import { readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { keptSecret } from '../../edge/secrets.ts';
import { runCli } from '../support/cli.ts';
import { type TempFolder, tempFolder } from '../support/service.ts';

let folder: TempFolder;
beforeEach(() => {
  folder = tempFolder();
});
afterEach(() => folder[Symbol.dispose]());

describe('a kept secret', () => {
  test('is made once, and leaves nothing else behind', () => {
    const made = keptSecret(folder.path, 'probe-key');
    expect(made).toEqual({ secret: expect.stringMatching(/^[\w-]{32}$/), fresh: true });
    expect(keptSecret(folder.path, 'probe-key')).toEqual({ secret: made.secret, fresh: false });
    expect(readdirSync(folder.path)).toEqual(['probe-key']);
    expect(statSync(join(folder.path, 'probe-key')).mode & 0o777).toBe(0o600);
  });

  test('whose making a power cut broke off is made anew', () => {
    writeFileSync(join(folder.path, 'probe-key.new'), 'half a se', { mode: 0o600 });
    const { secret, fresh } = keptSecret(folder.path, 'probe-key');
    expect([secret.length, fresh]).toEqual([32, true]);
    expect(readFileSync(join(folder.path, 'probe-key'), 'utf8')).toBe(`${secret}\n`);
    expect(readdirSync(folder.path)).toEqual(['probe-key']);
  });

  test('of 32 characters is taken, one of less is not, and the file stays as it is', () => {
    const path = join(folder.path, 'probe-key');
    writeFileSync(path, `${'k'.repeat(32)}\n`);
    expect(keptSecret(folder.path, 'probe-key').secret).toBe('k'.repeat(32));
    for (const short of ['', '\n', 'k', `${'k'.repeat(31)}\n`]) {
      writeFileSync(path, short);
      expect(() => keptSecret(folder.path, 'probe-key')).toThrow(`${path} holds ${short.trim().length} characters`);
      expect(readFileSync(path, 'utf8')).toBe(short);
    }
  });
});

test.each(['probe-key', 'access-token'])('the service does not start with an empty %s', async (name) => {
  const path = join(folder.path, name);
  writeFileSync(path, '');
  const { code, err } = await runCli(['serve'], {
    WARMHOURS_DATA: folder.path,
    WARMHOURS_HTTP: '127.0.0.1:0',
    WARMHOURS_MQTT: '127.0.0.1:0',
  });
  expect([code, err]).toEqual([1, expect.stringMatching(/^serve: .* holds 0 characters, .*delete the file and start again/)]);
  expect(err).toContain(path);
});
