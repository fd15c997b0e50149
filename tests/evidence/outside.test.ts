import { execFileSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { buffer } from 'node:stream/consumers';
import { parse } from 'csv-parse/sync';
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import { CodedError } from '../../edge/errors.ts';
import { fingerprint } from '../../edge/evidence/siteKey.ts';
import { verifyBundle } from '../../edge/evidence/verify.ts';
import { QUANTITIES, UNITS } from '../../edge/site/quantity.ts';
import { runCli } from '../support/cli.ts';
import type { HandSite } from '../support/handSite.ts';
import { type TempFolder, tempFolder } from '../support/service.ts';
import { deskOf, packetOf, workedSite } from './support/packing.ts';

const FOLDER = 'warmhours-yard-s1';

let site: HandSite;
let folder: TempFolder;
let zip: string;
/** The unpacked bag. */
let bag: string;

beforeAll(async () => {
  site = await workedSite();
  folder = tempFolder();
  zip = join(folder.path, 'bundle.zip');
  bag = join(folder.path, FOLDER);
  writeFileSync(zip, await packetOf(site, deskOf(site).ofSump('s1')));
  run('unzip', ['-q', zip], folder.path);
});
afterAll(async () => {
  folder[Symbol.dispose]();
  await site[Symbol.asyncDispose]();
});

function run(command: string, args: readonly string[], cwd = bag, input?: Uint8Array): string {
  return execFileSync(command, args, { cwd, encoding: 'utf8', ...(input === undefined ? {} : { input }) });
}

const textOf = (name: string) => readFileSync(join(bag, 'data', name), 'utf8');
/** The commands of the guide that begin so. */
const commands = (program: string) =>
  textOf('READ-ME-FIRST.txt')
    .split('\n')
    .map((line) => line.trim())
    .filter((line) => line.startsWith(`${program} `));

describe('a bundle of a site, judged by programs of others', () => {
  test('unzip finds nothing wrong', () => {
    expect(run('unzip', ['-t', zip])).toContain('No errors detected');
  });

  test('sha256sum, by the commands of the guide: every file, every list', () => {
    const [payload = '', tags = '', ...more] = commands('sha256sum');
    expect(more).toEqual([]);
    const lines = run('bash', ['-c', payload]).trim().split('\n');
    expect(lines.length).toBeGreaterThan(15);
    for (const line of lines) expect(line).toMatch(/: OK$/);
    expect(run('bash', ['-c', tags]).trim().split('\n')).toEqual([
      'bagit.txt: OK',
      'bag-info.txt: OK',
      'manifest-sha256.txt: OK',
    ]);
  });

  test('openssl, by the commands of the guide: the signature, and not that of another text', () => {
    const [verify = '', key = ''] = commands('openssl');
    expect(run('bash', ['-c', verify])).toContain('Signature Verified Successfully');
    expect(run('bash', ['-c', key]).slice(0, 64)).toBe(fingerprint(site.live.publicKey).replaceAll(' ', ''));
    expect(textOf('READ-ME-FIRST.txt').replace(/\s+/g, ' ')).toContain(fingerprint(site.live.publicKey));
    const other = join(folder.path, 'other.txt');
    writeFileSync(other, textOf('checkpoint.txt').replace('warmhours/yard', 'warmhours/yare'));
    expect(() => run('bash', ['-c', `${verify.replace('data/checkpoint.txt', other)} 2>&1`])).toThrow();
  });

  test('the command line of this program', async () => {
    const own = fingerprint(site.live.publicKey);
    const { code, out, err } = await runCli(['verify', zip, '--key', own]);
    expect([code, err]).toEqual([0, '']);
    expect(out).toContain('GOOD: every check holds.');
    expect(out).toContain(own);
  });
});

describe('readings.csv', () => {
  const rows = () => parse(textOf('readings.csv'), { columns: true, record_delimiter: '\r\n' }) as Record<string, string>[];

  test('is RFC 4180 with CRLF, read by a library of others as the ledger’s readings', () => {
    const text = textOf('readings.csv');
    expect(text.replaceAll('\r\n', '')).not.toMatch(/[\r\n"]/);
    const read = rows();
    const series = new Map<string, string[]>();
    for (const { source = '', quantity = '', utc = '', value = '', unit } of read) {
      expect(unit).toBe(UNITS[quantity as keyof typeof UNITS]);
      const key = `${source} ${quantity}`;
      series.set(key, [...(series.get(key) ?? []), `${Date.parse(utc)} ${Math.round(Number(value) * 1000)}`]);
    }
    expect([...series.keys()].sort()).toEqual(['air temperature', 'p1 temperature', 'p2 temperature']);
    for (const [key, own] of series) {
      const [source = '', quantity = ''] = key.split(' ');
      const { atMs, value } = site.live.ledger.readings.range(source, QUANTITIES.indexOf(quantity as never), 0, site.nowMs + 1);
      const kept = [...atMs].map((ms, row) => `${ms} ${value[row]}`);
      expect(own.toSorted()).toEqual(kept.toSorted());
    }
  });

  test('has the site’s own time beside UTC, with its offset', () => {
    for (const { utc = '', site_time = '' } of rows()) {
      expect(Date.parse(site_time)).toBe(Date.parse(utc));
      expect(site_time).toMatch(/-05:00$/);
    }
  });
});

describe('as the site goes on', () => {
  test('an older packet stays good, a newer one has what came since, each seal in its place', async () => {
    const before = readFileSync(zip);
    await site.hear('p2', 'temperature', 3, { from: 29.9, to: 29.5, everyMinutes: 7 });
    await site.cure(3, 15, 'p1', 'p2');
    const after = await packetOf(site, deskOf(site).ofSump('s1'));
    const [older, newer] = [verifyBundle(before), verifyBundle(after)];
    expect([older.ok, newer.ok]).toEqual([true, true]);
    const [first, second] = [older, newer].map(({ record }) => record?.joints.find(({ joint }) => joint === 'j2'));
    expect(second?.seals.slice(0, first?.seals.length)).toEqual(first?.seals);
    expect(second?.seals.length).toBeGreaterThan(first?.seals.length ?? 0);
    expect(newer.summary?.size).toBeGreaterThan(older.summary?.size ?? Number.POSITIVE_INFINITY);
  });

  test('packed while people speak and probes report, it is good all the same', async () => {
    const desk = deskOf(site);
    for (let round = 0; round < 6; round++) {
      site.wait(0.2);
      const packets = [['j1'], ['j2']].map(async (joints) => buffer((await desk.packet(desk.ofJoints(joints), 'a4')).body));
      for (let turn = 0; turn < 10; turn++) {
        await site.say({ kind: 'note.added', joint: turn % 2 === 0 ? 'j1' : 'j2', text: `${round} ${turn}` });
        await site.hear('p1', 'temperature', 15, { from: 0.2 - turn / 100, to: 0.195 - turn / 100 });
        if (turn === 5) await site.live.seal(0);
      }
      for (const packet of await Promise.all(packets))
        expect(verifyBundle(new Uint8Array(packet)).checks.filter(({ ok }) => !ok)).toEqual([]);
    }
  }, 60_000);

  test('what was asked for twice without anything new is signed for once', async () => {
    const subject = deskOf(site).ofSump('s1');
    await packetOf(site, subject);
    const { size } = site.live.ledger.tree;
    await packetOf(site, subject);
    expect(site.live.ledger.tree.size).toBe(size);
  });

  test('a packet of one joint, of several and of a sump without any', async () => {
    for (const subject of [deskOf(site).ofJoints(['j1']), deskOf(site).ofJoints(['j2', 'j1', 'j2']), deskOf(site).ofSump('s2')]) {
      const { ok, summary } = verifyBundle(await packetOf(site, subject));
      expect([ok, summary?.joints, summary?.sump]).toEqual([true, subject.joints, subject.sump]);
    }
  });
});

describe('packing', () => {
  test('is refused while the same joint is packed, and while two others are; afterwards it is not', async () => {
    const desk = deskOf(site);
    const busy = (joint: string) =>
      desk.csv(desk.ofJoints([joint])).then(
        () => null,
        (fault: unknown) => (fault instanceof CodedError ? fault.code : fault),
      );
    const first = await desk.csv(desk.ofJoints(['j1']));
    expect(await busy('j1')).toBe('busy');
    const second = await desk.csv(desk.ofSump('s2'));
    expect(await busy('j2')).toBe('busy');
    for (const { body } of [first, second]) await new Promise((resolve) => body.once('close', resolve).destroy());
    const third = await desk.csv(desk.ofJoints(['j1']));
    const lines = (await Array.fromAsync(third.body)).join('').trim().split('\r\n');
    expect(lines.length).toBeGreaterThan(100);
    expect(await busy('j1')).toBeNull();
  });

  test('without the built page it fails in plain words, and holds up nobody', async () => {
    const desk = deskOf(site, folder.path);
    for (let time = 0; time < 3; time++)
      await expect(desk.packet(desk.ofJoints(['j1']), 'a4')).rejects.toThrow('verify.html, is not there among the built pages');
  });

  test('that nobody takes is dropped after a minute, and holds up nobody', async () => {
    const desk = deskOf(site);
    vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] });
    try {
      const { body } = await desk.csv(desk.ofJoints(['j1']));
      vi.advanceTimersByTime(59_999);
      expect(body.destroyed).toBe(false);
      vi.advanceTimersByTime(1);
      await new Promise((resolve) => body.once('close', resolve));
    } finally {
      vi.useRealTimers();
    }
    const { body } = await desk.csv(desk.ofJoints(['j1']));
    body.destroy();
  });

  test('of what is not there is refused', () => {
    expect(() => deskOf(site).ofSump('none')).toThrow('there is no sump "none"');
    expect(() => deskOf(site).ofJoints(['j1', 'none'])).toThrow('there is no joint "none"');
  });
});
