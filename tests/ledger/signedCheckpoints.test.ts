import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { Ledger } from '../../edge/ledger/ledger.ts';
import { LedgerView } from '../../edge/ledger/ledgerView.ts';
import { LedgerUnsound } from '../../edge/ledger/signedCheckpoints.ts';
import type { By } from '../../edge/site/entries.ts';
import { type TempFolder, tempFolder } from '../support/service.ts';

const ana: By = { name: 'Ana', role: 'crew' };
const AT_MS = Date.UTC(2026, 0, 15, 14, 30);

let folder: TempFolder;
let ledger: Ledger;
let view: LedgerView;
const path = () => join(folder.path, 'ledger.db');
const open = () => {
  ledger = new Ledger(path());
  view = new LedgerView(path());
};
const close = async () => {
  view.close();
  await ledger.close();
};

beforeEach(() => {
  folder = tempFolder();
  open();
});
afterEach(async () => {
  await close();
  folder[Symbol.dispose]();
});

const say = (text: string) => ledger.append([{ statement: { kind: 'note.added', text }, by: ana }], AT_MS);
const signed: { size: number; root: Uint8Array; atMs: number }[] = [];
const sign = (size: number, root: Uint8Array, atMs: number) => {
  signed.push({ size, root, atMs });
  return `note of ${size}`;
};
/** Changes the file behind the program's back, past the triggers that keep an honest program from it. */
async function tamper(sql: string): Promise<void> {
  await close();
  const database = new DatabaseSync(path());
  const triggers = database.prepare("SELECT name FROM sqlite_schema WHERE type = 'trigger'").all();
  for (const { name } of triggers) database.exec(`DROP TRIGGER ${name}`);
  database.exec(sql);
  database.close();
  open();
}

describe('checkpoints', () => {
  test('are signed when the ledger has grown, and kept for ever', () => {
    signed.length = 0;
    say('one');
    const first = ledger.checkpoint(sign, AT_MS);
    expect(first).toMatchObject({ size: 1, atMs: AT_MS, note: 'note of 1' });
    expect(ledger.checkpoint(sign, AT_MS + 1)).toEqual(first);
    say('two');
    say('three');
    const second = ledger.checkpoint(sign, AT_MS + 2);
    expect(signed.map(({ size, atMs }) => [size, atMs])).toEqual([
      [1, AT_MS],
      [3, AT_MS + 2],
    ]);
    expect(second.root).toEqual(view.tree.root(3));
    expect([view.signed.at(1), view.signed.at(2), view.signed.newest()]).toEqual([first, null, second]);
  });

  test('hold across a restart, and the ledger goes on from them', async () => {
    for (const text of ['one', 'two', 'three']) say(text);
    const { root } = ledger.checkpoint(sign, AT_MS);
    say('four');
    await close();
    open();
    expect(() => ledger.mustBeSound()).not.toThrow();
    expect(view.signed.newest()).toMatchObject({ size: 3, root });
    expect(ledger.checkpoint(sign, AT_MS)).toMatchObject({ size: 4 });
  });

  test.each([
    ['changed', 'UPDATE signed_checkpoint SET root = zeroblob(32)'],
    ['removed', 'DELETE FROM signed_checkpoint'],
    ['replaced', "INSERT OR REPLACE INTO signed_checkpoint VALUES (1, zeroblob(32), 0, 'another')"],
  ])('cannot be %s', (_, sql) => {
    say('one');
    const first = ledger.checkpoint(sign, AT_MS);
    const other = new DatabaseSync(path());
    expect(() => other.exec(sql)).toThrow(/what was signed stays/);
    other.close();
    expect(view.signed.newest()).toEqual(first);
  });

  test('of nothing at all is that of the empty tree', () => {
    expect(Buffer.from(ledger.checkpoint(sign, AT_MS).root).toString('hex')).toMatch(/^e3b0c442/);
  });
});

describe('a ledger that is not the one that was signed for', () => {
  beforeEach(() => {
    for (let index = 0; index < 6; index++) say(`note ${index}`);
    ledger.checkpoint(sign, AT_MS);
  });
  const refusal = () => {
    try {
      ledger.mustBeSound();
      return null;
    } catch (fault) {
      return fault;
    }
  };

  test('is found out when leaves are missing at its end', async () => {
    await tamper('DELETE FROM tree_node WHERE (idx + 1) << level > 4; DELETE FROM leaf WHERE seq > 4');
    expect(refusal()).toBeInstanceOf(LedgerUnsound);
    expect(refusal()).toMatchObject({
      message: expect.stringMatching(
        /^the ledger has 4 leaves, and at 2026-01-15T14:30:00\.000Z there were 6 signed for: some are missing; nothing was deleted/,
      ),
    });
    // Nothing more is vouched for, even once it has grown past that size.
    for (const text of ['a', 'b', 'c']) say(text);
    expect(() => ledger.checkpoint(sign, AT_MS)).toThrow(/the first 6 leaves of the ledger are not those that were signed for/);
    expect(view.signed.newest()).toMatchObject({ size: 6 });
  });

  test.each([
    [
      'a leaf is another, and its tree was made anew',
      'DELETE FROM tree_node; UPDATE leaf SET hash = randomblob(32) WHERE seq = 2',
    ],
    ['a node is another', 'UPDATE tree_node SET hash = randomblob(32) WHERE level = 2 AND idx = 0'],
    ['another root was put in the place of the signed one', 'UPDATE signed_checkpoint SET root = randomblob(32)'],
  ])('is found out when %s', async (_, sql) => {
    await tamper(sql);
    expect(refusal()).toMatchObject({ code: 'ERR_LEDGER_UNSOUND', message: expect.stringContaining('they were changed') });
  });
});
