/**
 * The ledger's tables, one step a version. A step that has been released never changes; a later one amends.
 *
 * `leaf` is the ledger: entries (kind 1, canonical JSON) and blocks of readings (kind 2), each with its RFC 6962 leaf hash.
 * `hot` holds readings that are committed but not yet sealed into a block. `signed_checkpoint` holds what the site has vouched for
 * with its key: the root over the first `size` leaves, and the note that was handed out. All else can be rebuilt from these three,
 * but for `relay_cursor`: up to which leaf a relay has sent them on. `tree_node` is the Merkle tree above the leaves; see `Tree`.
 */
export const migrations: readonly string[] = [
  `
  CREATE TABLE leaf (
    seq INTEGER PRIMARY KEY,
    kind INTEGER NOT NULL CHECK (kind IN (1, 2)),
    body BLOB NOT NULL,
    hash BLOB NOT NULL CHECK (length(hash) = 32)
  ) STRICT;
  CREATE TRIGGER leaf_is_never_changed BEFORE UPDATE ON leaf BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END;
  CREATE TRIGGER leaf_is_never_removed BEFORE DELETE ON leaf BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END;
  CREATE TRIGGER leaf_is_never_replaced BEFORE INSERT ON leaf WHEN EXISTS (SELECT 1 FROM leaf WHERE seq = NEW.seq)
    BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END;
  CREATE INDEX leaf_entries ON leaf (seq) WHERE kind = 1;

  CREATE TABLE series (
    n INTEGER PRIMARY KEY,
    probe TEXT NOT NULL,
    quantity INTEGER NOT NULL,
    UNIQUE (probe, quantity)
  ) STRICT;

  CREATE TABLE hot (
    series INTEGER NOT NULL REFERENCES series (n),
    at_ms INTEGER NOT NULL,
    value INTEGER NOT NULL,
    basis INTEGER NOT NULL,
    arrival_ms INTEGER NOT NULL,
    mono_ms INTEGER NOT NULL,
    boot INTEGER NOT NULL,
    taken INTEGER NOT NULL,
    PRIMARY KEY (series, at_ms)
  ) STRICT, WITHOUT ROWID;

  CREATE TABLE span (
    series INTEGER NOT NULL REFERENCES series (n),
    first_ms INTEGER NOT NULL,
    seq INTEGER NOT NULL REFERENCES leaf (seq),
    PRIMARY KEY (series, first_ms, seq)
  ) STRICT, WITHOUT ROWID;

  CREATE TABLE quarantine (
    id INTEGER PRIMARY KEY,
    at_ms INTEGER NOT NULL,
    topic TEXT NOT NULL,
    probe TEXT,
    reason TEXT NOT NULL,
    detail TEXT NOT NULL,
    payload BLOB NOT NULL,
    bytes INTEGER NOT NULL
  ) STRICT;

  CREATE TABLE fold_checkpoint (
    joint TEXT PRIMARY KEY,
    spec TEXT NOT NULL,
    state TEXT NOT NULL,
    taken INTEGER NOT NULL,
    episodes TEXT NOT NULL
  ) STRICT;

  CREATE TABLE latest (
    series INTEGER PRIMARY KEY REFERENCES series (n),
    at_ms INTEGER NOT NULL,
    value INTEGER NOT NULL
  ) STRICT;

  CREATE TABLE counter (name TEXT PRIMARY KEY, value INTEGER NOT NULL) STRICT;

  CREATE TABLE relay_cursor (name TEXT PRIMARY KEY, seq INTEGER NOT NULL) STRICT;
  `,
  `
  CREATE TABLE tree_node (
    level INTEGER NOT NULL CHECK (level > 0),
    idx INTEGER NOT NULL,
    hash BLOB NOT NULL CHECK (length(hash) = 32),
    PRIMARY KEY (level, idx)
  ) STRICT, WITHOUT ROWID;

  CREATE TABLE signed_checkpoint (
    size INTEGER PRIMARY KEY,
    root BLOB NOT NULL CHECK (length(root) = 32),
    at_ms INTEGER NOT NULL,
    note TEXT NOT NULL
  ) STRICT;
  CREATE TRIGGER signed_is_never_changed BEFORE UPDATE ON signed_checkpoint
    BEGIN SELECT RAISE(ABORT, 'what was signed stays'); END;
  CREATE TRIGGER signed_is_never_removed BEFORE DELETE ON signed_checkpoint
    BEGIN SELECT RAISE(ABORT, 'what was signed stays'); END;
  CREATE TRIGGER signed_is_never_replaced BEFORE INSERT ON signed_checkpoint
    WHEN EXISTS (SELECT 1 FROM signed_checkpoint WHERE size = NEW.size)
    BEGIN SELECT RAISE(ABORT, 'what was signed stays'); END;
  `,
];
