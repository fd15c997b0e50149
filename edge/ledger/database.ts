import { DatabaseSync } from 'node:sqlite';
import { migrations } from './migrations.ts';

/**
 * Opens (or makes) a ledger file. WAL with `synchronous=FULL`: a commit that has returned is on the disk. Both are asserted,
 * because SQLite silently keeps another mode where a file system cannot do better.
 * Throws an Error that says what is wrong for a file that is no ledger, is damaged, or was written by a newer program; such a
 * file is left as it is.
 */
export function openDatabase(path: string): DatabaseSync {
  const database = new DatabaseSync(path, { enableForeignKeyConstraints: true });
  try {
    // First of all, before anything could be written to a file that is not ours.
    expectLedger(database, path);
    database.exec('PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA busy_timeout = 5000; PRAGMA cache_size = -8000;');
    expectPragma(database, 'journal_mode', path === ':memory:' ? 'memory' : 'wal');
    expectPragma(database, 'synchronous', 2);
    migrate(database);
    return database;
  } catch (fault) {
    database.close();
    throw fault;
  }
}

/** A second connection to a ledger that `openDatabase` has opened, to read beside the one that writes. */
export function openForReading(path: string): DatabaseSync {
  const database = new DatabaseSync(path, { readOnly: true });
  database.exec('PRAGMA busy_timeout = 5000; PRAGMA cache_size = -8000;');
  return database;
}

function expectPragma(database: DatabaseSync, name: string, expected: string | number): void {
  const row = database.prepare(`PRAGMA ${name}`).get();
  const found = row === undefined ? undefined : Object.values(row)[0];
  if (found !== expected)
    throw new Error(`the ledger needs ${name} = ${expected}, but SQLite keeps ${found}; is the disk a network share?`);
}

function expectLedger(database: DatabaseSync, path: string): void {
  const version = versionOf(database);
  const tables = database.prepare("SELECT name FROM sqlite_schema WHERE type = 'table'").all();
  const isLedger = version === 0 ? tables.length === 0 : tables.some(({ name }) => name === 'leaf');
  if (!isLedger) throw new Error(`${path} is no ledger but the database of another program`);
  if (version > migrations.length)
    throw new Error(
      `${path} was written by a newer program (ledger version ${version}, this one reads up to ${migrations.length})`,
    );
}

function versionOf(database: DatabaseSync): number {
  return Number(Object.values(database.prepare('PRAGMA user_version').get() ?? {})[0]);
}

function migrate(database: DatabaseSync): void {
  for (let next = versionOf(database); next < migrations.length; next++) {
    inTransaction(database, () => database.exec(`${migrations[next]}; PRAGMA user_version = ${next + 1};`));
  }
}

/** Runs `work` as one transaction: all of it is kept, or none. */
export function inTransaction<T>(database: DatabaseSync, work: () => T): T {
  database.exec('BEGIN IMMEDIATE');
  try {
    const result = work();
    database.exec('COMMIT');
    return result;
  } catch (fault) {
    // A failed COMMIT may have rolled back by itself already.
    if (database.isTransaction) database.exec('ROLLBACK');
    throw fault;
  }
}
