import { toldOf } from '../../../edge/site/state/site.ts';
import type { Report } from './about.ts';
import { entryWords } from './entryWords.ts';
import type { EntryOnRecord } from './input.ts';
import { type Run, table } from './table.ts';

const MINUTE_MS = 60_000;

/** Everything that bears on the joints, in ledger order; what was taken back is struck through, and stays. */
export function entryList(report: Report): void {
  const { sheet, input } = report;
  sheet.heading(1, 'All entries');
  sheet.paragraph(
    'In the order in which they were put on record, under their places in the ledger. What was taken back is struck through and stays.',
  );
  table(
    sheet,
    [
      { head: 'Entry', share: 8, align: 'right' },
      { head: 'When', share: 25 },
      { head: 'Who', share: 17 },
      { head: 'What', share: 50 },
    ],
    input.entries.map((line) => rowOf(report, line)),
  );
}

function rowOf({ clock }: Report, { seq, entry, withdrawn }: EntryOnRecord): (readonly Run[])[] {
  const { atMs, recordedMs, by } = toldOf(seq, entry);
  const { title, said } = entryWords(entry, clock);
  const strike = withdrawn !== null;
  const asked = 'confirmed' in entry ? (entry.confirmed ?? []) : [];
  return [
    [{ text: String(seq) }],
    [
      { text: clock.at(atMs), strike },
      // What is put on record within a minute was said then.
      ...(Math.abs(recordedMs - atMs) < MINUTE_MS ? [] : [{ text: `on record ${clock.at(recordedMs)}`, size: 7 }]),
    ],
    [{ text: by.role === 'system' ? 'the program' : `${by.name} (${by.role})`, strike }],
    [
      { text: title, bold: true, strike },
      ...(said === '' ? [] : [{ text: said, strike }]),
      ...(asked.length === 0 ? [] : [{ text: `Was asked, and said yes: ${asked.join(', ')}`, strike }]),
      ...(withdrawn === null
        ? []
        : [{ text: `Taken back by ${withdrawn.by}, ${clock.at(withdrawn.at)} (entry ${withdrawn.seq}): ${withdrawn.reason}` }]),
    ],
  ];
}
