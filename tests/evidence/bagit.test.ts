import { execFileSync } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { readBag } from '../../edge/evidence/bagit.ts';
import { sha256Hex } from '../../edge/evidence/canonical.ts';
import { tempFolder } from '../support/service.ts';
import { bagOf, type Files, textOf } from './support/bundle.ts';

const utf8 = (text: string) => new TextEncoder().encode(text);
const payload: Files = new Map([
  ['a.txt', utf8('one\n')],
  ['deep/b.txt', utf8('two\n')],
]);
const bag = () => bagOf(payload, 'top');
const listed = (files: Files) => [...files].map(([name, bytes]) => ({ name, bytes }));

function faultOf(files: Files) {
  const read = readBag(listed(files));
  return 'fault' in read ? read.fault : null;
}

/** With another text, and the list of tag files right for it. */
function retagged(name: string, edit: (text: string) => string): Files {
  const files = bag();
  files.set(`top/${name}`, utf8(edit(textOf(files.get(`top/${name}`)))));
  const tags = ['bagit.txt', 'bag-info.txt', 'manifest-sha256.txt'];
  const lines = tags.map((tag) => `${sha256Hex(files.get(`top/${tag}`) ?? '')}  ${tag}\n`);
  return files.set('top/tagmanifest-sha256.txt', utf8(lines.join('')));
}

describe('a bag (RFC 8493)', () => {
  test('is taken whole', () => {
    const read = readBag(listed(bag()));
    expect('bag' in read && read.bag).toEqual({ folder: 'top', payload });
  });

  test('checks with sha256sum alone', () => {
    using folder = tempFolder();
    for (const [name, bytes] of bag()) {
      mkdirSync(dirname(join(folder.path, name)), { recursive: true });
      writeFileSync(join(folder.path, name), bytes);
    }
    const run = (manifest: string) =>
      execFileSync('sha256sum', ['--strict', '--check', manifest], { cwd: join(folder.path, 'top'), encoding: 'utf8' });
    expect(run('manifest-sha256.txt')).toBe('data/a.txt: OK\ndata/deep/b.txt: OK\n');
    expect(run('tagmanifest-sha256.txt').split('\n')).toHaveLength(4);
  });

  test('every file changed, taken out or added is named', () => {
    for (const name of bag().keys()) {
      const own = name.slice('top/'.length);
      const changed = bag();
      changed.set(name, utf8(`${textOf(changed.get(name))} `));
      // What the list of tag files says wrongly, it says of another file.
      if (own !== 'tagmanifest-sha256.txt') expect(faultOf(changed)?.file, own).toBe(own);
      else expect(faultOf(changed), own).not.toBeNull();
      const without = bag();
      without.delete(name);
      expect(faultOf(without), own).toMatchObject({ file: own, detail: expect.stringContaining('missing') });
    }
    expect(faultOf(bag().set('top/data/c.txt', utf8('three\n')))).toMatchObject({ file: 'data/c.txt' });
    expect(faultOf(bag().set('top/fetch.txt', utf8('http://a 1 data/c.txt\n')))).toMatchObject({ file: 'fetch.txt' });
  });

  test('two top folders, a file outside, nothing at all', () => {
    expect(faultOf(bag().set('other/a.txt', utf8('x')))).toMatchObject({
      file: null,
      detail: expect.stringContaining('other/a.txt'),
    });
    expect(faultOf(bag().set('a.txt', utf8('x')))).toMatchObject({ file: null });
    expect(faultOf(new Map())).toMatchObject({ file: null });
  });

  test.each([
    ['a bag of another version', 'bagit.txt', (text: string) => text.replace('1.0', '0.97')],
    ['a line that is no hash', 'manifest-sha256.txt', (text: string) => `${text}zz  data/x\n`],
    ['a hash in large letters', 'manifest-sha256.txt', (text: string) => text.toUpperCase()],
    ['a file listed twice', 'manifest-sha256.txt', (text: string) => text + text],
    ['a list without a last line end', 'manifest-sha256.txt', (text: string) => text.slice(0, -1)],
    ['line ends of another system', 'manifest-sha256.txt', (text: string) => text.replaceAll('\n', '\r\n')],
    ['a size that is not right', 'bag-info.txt', (text: string) => text.replace(/Oxum: \d/, 'Oxum: 9')],
    ['two sizes', 'bag-info.txt', (text: string) => `${text}payload-oxum: 8.2\n`],
    ['no size', 'bag-info.txt', () => 'Bagging-Date: 2026-01-15\n'],
    ['no label', 'bag-info.txt', (text: string) => `${text}hello\n`],
  ])('%s', (_, name, edit) => {
    expect(faultOf(retagged(name, edit))?.file).toBe(name);
  });

  test('a list that names a file of the other kind', () => {
    const files = retagged('manifest-sha256.txt', (text) => `${text}${sha256Hex('x')}  bagit.txt\n`);
    expect(faultOf(files)).toMatchObject({ file: 'bagit.txt', detail: expect.stringContaining('missing') });
  });
});
