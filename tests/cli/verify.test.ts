import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import * as names from '../../edge/evidence/bundle.ts';
import { fingerprint } from '../../edge/evidence/siteKey.ts';
import { CHECKS, verifyBundle } from '../../edge/evidence/verify.ts';
import { edited, packed, payloadOf, publicKey } from '../evidence/support/bundle.ts';
import { smallYard } from '../evidence/support/yard.ts';
import { runCli } from '../support/cli.ts';
import { type TempFolder, tempFolder } from '../support/service.ts';

const own = fingerprint(publicKey);
const payload = payloadOf(smallYard());
const good = packed(payload);
const changed = packed(edited(payload, names.READINGS_CSV, (text) => text.replace(',12,', ',13,')));

let folder: TempFolder;
const path = (name: string) => join(folder.path, name);
beforeAll(() => {
  folder = tempFolder();
  writeFileSync(path('good.zip'), good);
  writeFileSync(path('changed.zip'), changed);
  writeFileSync(path('cut.zip'), good.subarray(0, good.length - 100));
  writeFileSync(path('text.zip'), 'not a ZIP\u001b[31m');
});
afterAll(() => folder[Symbol.dispose]());

describe('verify', () => {
  test('a good bundle: every check on a line, exit code 0', async () => {
    const { code, out, err } = await runCli(['verify', path('good.zip'), '--key', own.replaceAll(' ', ':').toUpperCase()]);
    expect([code, err]).toEqual([0, '']);
    const lines = out.split('\n');
    for (const [place, [id, title]] of Object.entries(CHECKS).entries())
      expect(lines[place]).toMatch(new RegExp(`^✓ good +${id} +${title}\\. `));
    expect(out).toContain('GOOD: every check holds.');
    expect(out).toContain('Signed, not yet anchored outside the site');
    expect(lines).toContain(`key          ${own}`);
  });

  test('without a fingerprint the key is left to the reader, who is told so', async () => {
    const { code, out } = await runCli(['verify', path('good.zip')]);
    expect(code).toBe(0);
    expect(out).toMatch(/^\? compare it +key .*the bundle’s own.*$/m);
  });

  test('a changed one: what is wrong and what it means, exit code 1', async () => {
    const { code, out, err } = await runCli(['verify', path('changed.zip')]);
    expect([code, err]).toEqual([1, '']);
    expect(out).toMatch(/^✗ WRONG +derived-readings /m);
    expect(out).toMatch(/^– not looked at +replay /m);
    expect(out).toMatch(/^NOT GOOD: readings\.csv line \d+ is not reading \d+ of the blocks\.$/m);
    expect(out).toContain('The readings that people open are not those that were signed');
  });

  test('with another fingerprint than its own: exit code 1', async () => {
    const { code, out } = await runCli(['verify', path('good.zip'), `--key=${'0'.repeat(64)}`]);
    expect(code).toBe(1);
    expect(out).toMatch(/^✗ WRONG +key /m);
  });

  test.each(['cut.zip', 'text.zip'])('%s: exit code 1, in plain words', async (name) => {
    const { code, out } = await runCli(['verify', path(name)]);
    expect(code).toBe(1);
    expect(out).toMatch(/^NOT GOOD: The ZIP /m);
    expect(out).not.toMatch(/[^\P{Cc}\n]/u);
  });

  test('--json: the verdict itself', async () => {
    for (const [name, bytes] of [
      ['good.zip', good],
      ['changed.zip', changed],
    ] as const) {
      const { code, out } = await runCli(['verify', path(name), '--json']);
      const verdict = verifyBundle(bytes);
      expect(JSON.parse(out)).toEqual(JSON.parse(JSON.stringify(verdict)));
      expect(code).toBe(verdict.ok ? 0 : 1);
    }
  });

  test.each([
    [[], 'give one bundle'],
    [['a.zip', 'b.zip'], 'give one bundle, not 2'],
    [['none.zip'], 'there is no file none.zip'],
    [['tests'], 'tests is no file'],
    [['a.zip', '--key', '12ab'], '--key must be a fingerprint of 64 hexadecimal digits, not "12ab"'],
    [['a.zip', '--colour'], "Unknown option '--colour'"],
  ])('%j is not understood: exit code 2', async (args, words) => {
    const { code, out, err } = await runCli(['verify', ...args]);
    expect([code, out]).toEqual([2, '']);
    expect(err).toContain(words);
  });

  test('--help tells the exit codes', async () => {
    const { code, out } = await runCli(['verify', '--help']);
    expect(code).toBe(0);
    expect(out).toContain('Exit code 0: every check holds; 1: one does not; 2: the file cannot be read.');
  });
});
