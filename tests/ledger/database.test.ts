import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { inTransaction, openDatabase } from '../../edge/ledger/database.ts';
import { Ledger } from '../../edge/ledger/ledger.ts';
import { migrations } from '../../edge/ledger/migrations.ts';
import { type TempFolder, tempFolder } from '../support/service.ts';

let folder: TempFolder;
let path: string;

beforeEach(() => {
  folder = tempFolder();
  path = join(folder.path, 'ledger.db');
});
afterEach(() => {
  vi.restoreAllMocks();
  folder[Symbol.dispose]();
});

const pragma = (database: DatabaseSync, name: string) => Object.values(database.prepare(`PRAGMA ${name}`).get() ?? {})[0];

/** A file that some program wrote with SQLite, in SQLite's own default mode. */
function written(sql: string): Buffer {
  const database = new DatabaseSync(path);
  database.exec(sql);
  database.close();
  return readFileSync(path);
}

describe('opening a ledger', () => {
  test('makes a new file that syncs every commit, in WAL mode, and finds it so again', () => {
    for (const _ of ['first', 'second']) {
      const database = openDatabase(path);
      expect(pragma(database, 'journal_mode')).toBe('wal');
      // 2 is FULL.
      expect(pragma(database, 'synchronous')).toBe(2);
      expect(pragma(database, 'foreign_keys')).toBe(1);
      expect(pragma(database, 'user_version')).toBe(migrations.length);
      database.close();
    }
  });

  test.each([
    [
      'journal_mode',
      'PRAGMA journal_mode = WAL',
      'PRAGMA journal_mode = DELETE',
      /needs journal_mode = wal, but SQLite keeps delete/,
    ],
    ['synchronous', 'PRAGMA synchronous = FULL', 'PRAGMA synchronous = NORMAL', /needs synchronous = 2, but SQLite keeps 1/],
  ])('refuses to run where %s cannot be had', (_, wanted, got, complaint) => {
    // A file system that cannot share memory keeps SQLite in another mode without an error; here the wish is swapped instead.
    const exec = DatabaseSync.prototype.exec;
    vi.spyOn(DatabaseSync.prototype, 'exec').mockImplementation(function (this: DatabaseSync, sql: string) {
      exec.call(this, sql.replace(wanted, got));
    });
    expect(() => openDatabase(path)).toThrow(complaint);
  });

  test('takes an empty file for a new ledger', () => {
    writeFileSync(path, '');
    const database = openDatabase(path);
    expect(pragma(database, 'user_version')).toBe(migrations.length);
    database.close();
  });

  test.each([
    ['no database', () => Buffer.from('time,celsius\n2026-01-15T14:30:00Z,7.5\n'.repeat(100)), /not a database/],
    [
      'a newer ledger',
      () => written(`PRAGMA journal_mode = WAL; PRAGMA user_version = ${migrations.length + 1}; CREATE TABLE leaf (seq INTEGER)`),
      new RegExp(`newer program \\(ledger version ${migrations.length + 1}, this one reads up to ${migrations.length}\\)`),
    ],
    [
      'a newer ledger in another mode',
      () => written(`PRAGMA user_version = 99; CREATE TABLE leaf (seq INTEGER)`),
      /newer program/,
    ],
    ['the database of another program', () => written('CREATE TABLE tank (litres INTEGER)'), /no ledger/],
    [
      'another program’s, numbered like ours',
      () => written('CREATE TABLE tank (litres INTEGER); PRAGMA user_version = 1'),
      /no ledger/,
    ],
    [
      'a ledger with a damaged header',
      () => {
        openDatabase(path).close();
        const bytes = readFileSync(path);
        bytes.fill(0xff, 0, 32);
        return bytes;
      },
      /not a database/,
    ],
    [
      'a ledger that was cut off',
      () => {
        openDatabase(path).close();
        return readFileSync(path).subarray(0, 6000);
      },
      /malformed/,
    ],
  ])('refuses %s and leaves the file as it was', (_, make, complaint) => {
    const bytes = make();
    writeFileSync(path, bytes);
    expect(() => new Ledger(path)).toThrow(complaint);
    expect(readFileSync(path).equals(bytes)).toBe(true);
    expect(readdirSync(folder.path)).toEqual(['ledger.db']);
  });

  test('refuses a path that is a folder', () => {
    mkdirSync(path);
    expect(() => openDatabase(path)).toThrow(/unable to open/);
  });
});

describe('the ledger table', () => {
  test.each([
    ['changed', "UPDATE leaf SET body = x'00'"],
    ['removed', 'DELETE FROM leaf WHERE seq = 1'],
    ['replaced', "INSERT OR REPLACE INTO leaf (seq, kind, body, hash) VALUES (1, 1, x'00', zeroblob(32))"],
  ])('cannot be %s', (_, sql) => {
    const ledger = new Ledger(path);
    ledger.append([{ statement: { kind: 'sump.added', sump: 's1', label: 'One' }, by: { name: 'Ana', role: 'crew' } }], 0);
    const other = new DatabaseSync(path);
    const before = other.prepare('SELECT * FROM leaf').all();
    expect(before).toHaveLength(1);
    expect(() => other.exec(sql)).toThrow(/append-only/);
    expect(other.prepare('SELECT * FROM leaf').all()).toEqual(before);
    other.close();
    return ledger.close();
  });
});

describe('a transaction', () => {
  test('that fails leaves nothing behind and the connection usable', () => {
    const database = openDatabase(path);
    const count = () => database.prepare('SELECT count(*) AS n FROM counter').get()?.n;
    expect(() =>
      inTransaction(database, () => {
        database.exec("INSERT INTO counter VALUES ('one', 1)");
        throw new Error('in the middle');
      }),
    ).toThrow('in the middle');
    expect(count()).toBe(0);
    inTransaction(database, () => database.exec("INSERT INTO counter VALUES ('one', 1)"));
    expect(count()).toBe(1);
    database.close();
  });
});
