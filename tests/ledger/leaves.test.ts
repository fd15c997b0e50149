import { createHash } from 'node:crypto';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { compileRateTable } from '../../edge/cure/rateTable.ts';
import { canonicalJson, rateTableSha256 } from '../../edge/evidence/canonical.ts';
import { leafHash } from '../../edge/evidence/leaf.ts';
import { Ledger, type Said } from '../../edge/ledger/ledger.ts';
import { LedgerView } from '../../edge/ledger/ledgerView.ts';
import type { By, Statement } from '../../edge/site/entries.ts';
import { type TempFolder, tempFolder } from '../support/service.ts';

const NOW_MS = Date.UTC(2026, 0, 15, 14, 30);
const ana: By = { name: 'Ana', role: 'crew' };

const definition = builtInSchedules[0] ?? expect.fail('there is no schedule');
const table = compileRateTable(definition);

/** One of every kind, with all that each may hold, in scripts beyond Latin too. */
const everyKind: Statement[] = [
  { kind: 'site.described', name: 'Kestrel Yard – Süd №2 🛠', timeZone: 'America/Chicago' },
  {
    kind: 'probe.registered',
    probe: 'p1',
    role: 'material',
    label: 'under wrap',
    sensor: { kind: 'digital' },
    uncertaintyCelsius: 0.579,
  },
  { kind: 'sump.added', sump: 's1', label: '東のサンプ', serial: 'A-7' },
  { kind: 'joint.added', joint: 'j1', sump: 's1', label: 'Entry', schedule: 'polyester-laminate', probes: ['p1'], ambient: 'a1' },
  { kind: 'joint.assigned', joint: 'j1', probes: [], at: '2026-01-15T14:30:00-08:00' },
  { kind: 'joint.laidUp', joint: 'j1', at: '2026-01-15T14:30:00.123+05:45', note: 'third wrap' },
  { kind: 'joint.relaid', joint: 'j1', at: '2026-01-15T14:30:00Z', reason: 'dry spot' },
  { kind: 'note.added', text: 'line 1\nline "2"\t\u0001', joint: 'j1', sump: 's1', probe: 'p1', at: '2026-01-15T14:30:00Z' },
  { kind: 'entry.withdrawn', seq: 6, reason: 'meant the other joint' },
];
const said: Said[] = [
  ...everyKind.map((statement) => ({ statement, by: ana })),
  {
    statement: { kind: 'schedule.recorded', definition, table, rateTableSha256: rateTableSha256(table) },
    by: { name: 'warmhours', role: 'system' },
  },
  {
    statement: { kind: 'boot.started', boot: 7, bootId: '7f6d3a52-3f0e-4c56-9a0f-0f7f0a3b1c2d', program: 'warmhours 0.1.0' },
    by: { name: 'warmhours', role: 'system' },
  },
];

let folder: TempFolder;
let ledger: Ledger;
let view: LedgerView;
const path = () => join(folder.path, 'ledger.db');

beforeEach(() => {
  folder = tempFolder();
  ledger = new Ledger(path());
  view = new LedgerView(path());
});
afterEach(async () => {
  view.close();
  await ledger.close();
  folder[Symbol.dispose]();
});

describe('the hash of a leaf', () => {
  test('is that of RFC 6962: SHA-256 over a zero byte and the leaf', () => {
    // [P] RFC 6962 §2.1; the hash of the empty leaf is the one of the transparency-dev/merkle test vectors.
    expect(Buffer.from(leafHash(new Uint8Array(0))).toString('hex')).toBe(
      '6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d',
    );
    // [p] Second leaf of the same vectors: the one byte 00.
    expect(Buffer.from(leafHash(Uint8Array.of(0))).toString('hex')).toBe(
      '96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7',
    );
  });
});

describe('entries', () => {
  test('of every kind come back as they were said, stamped, in order, after reopening too', async () => {
    const appended = ledger.append(said, NOW_MS);
    const expected = said.map(({ statement, by }) => ({ ...statement, by, recordedAt: '2026-01-15T14:30:00.000Z' }));
    expect(appended.map(({ seq }) => seq)).toEqual(said.map((_, index) => index + 1));
    expect(appended.map(({ entry }) => entry)).toEqual(expected);
    expect([...view.entries()]).toEqual(expected.map((entry, index) => ({ seq: index + 1, entry })));
    view.close();
    await ledger.close();
    ledger = new Ledger(path());
    view = new LedgerView(path());
    expect([...view.entries()]).toEqual(expected.map((entry, index) => ({ seq: index + 1, entry })));
  });

  test('are kept as canonical JSON in UTF-8, under the hash that the caller was told', () => {
    const appended = ledger.append(said, NOW_MS);
    const database = new DatabaseSync(path(), { readOnly: true });
    const rows = database.prepare('SELECT body, hash FROM leaf ORDER BY seq').all();
    database.close();
    rows.forEach(({ body, hash }, index) => {
      const text = Buffer.from(body as Uint8Array).toString();
      expect(text).toBe(canonicalJson(appended[index]?.entry));
      const told = appended[index]?.hash;
      expect(told).toBe(createHash('sha256').update('\0').update(text).digest('hex'));
      expect(Buffer.from(hash as Uint8Array).toString('hex')).toBe(told);
    });
    expect(rows).toHaveLength(said.length);
  });

  test('said together are taken together or not at all', () => {
    const bad = { statement: { kind: 'sump.added', sump: 's2', label: '\ud800' }, by: ana } as const;
    expect(() => ledger.append([...said, bad], NOW_MS)).toThrow(/half a character/);
    expect([...view.entries()]).toEqual([]);
    const [first] = ledger.append(said, NOW_MS);
    expect(first?.seq).toBe(1);
  });
});
