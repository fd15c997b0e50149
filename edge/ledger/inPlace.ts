import { statSync } from 'node:fs';

/** The ledger's file is no longer where it was opened: what is written goes nowhere that a start would find. */
export class LedgerMoved extends Error {
  readonly code = 'ERR_LEDGER_MOVED';
}

/**
 * Watches that the ledger's files stay where they are. An open file that somebody deletes or replaces takes writes as before, and
 * all of them are gone with the process.
 */
export class InPlace {
  readonly #seen = new Map<string, string | null>();

  /** To be made once the database is open. */
  constructor(path: string) {
    this.#seen.set(path, identityOf(path));
    // The write-ahead log comes with the first write.
    this.#seen.set(`${path}-wal`, null);
  }

  /** To be called after a commit. @throws LedgerMoved, naming the file. */
  check(): void {
    for (const [path, before] of this.#seen) {
      const identity = identityOf(path);
      if (identity === null || (before !== null && identity !== before))
        throw new LedgerMoved(`${path} was removed or replaced while it was in use`);
      this.#seen.set(path, identity);
    }
  }
}

function identityOf(path: string): string | null {
  const stat = statSync(path, { throwIfNoEntry: false });
  return stat === undefined ? null : `${stat.dev}/${stat.ino}`;
}
