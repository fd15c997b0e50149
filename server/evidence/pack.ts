import { base64Of } from '../../edge/evidence/base64.ts';
import * as names from '../../edge/evidence/bundle.ts';
import { canonicalJson } from '../../edge/evidence/canonical.ts';
import { parseNote } from '../../edge/evidence/note.ts';
import { CSV_HEAD, CSV_LINE_END, csvLine, jsonLine } from '../../edge/evidence/readingsText.ts';
import { spkiPem } from '../../edge/evidence/siteKey.ts';
import { bagStream, type Contents, type PayloadFile } from './bagStream.ts';
import type { Evidence } from './gather.ts';
import { guideOf } from './guide.ts';
import { leafAt } from './ledgerBlocks.ts';
import { siteTimeIn } from './siteTime.ts';

/** What comes from elsewhere: the report and the verification page. */
export interface Enclosures {
  readonly report: Contents;
  readonly page: Uint8Array;
}

/** The packet as a ZIP, made as it is read: of the readings, no more than one block is held. */
export function packed(evidence: Evidence, enclosures: Enclosures): AsyncGenerator<Uint8Array> {
  const { site, madeAt, subject } = evidence.bundle;
  return bagStream(names.folderOf(site, subject), payloadOf(evidence, enclosures), new Date(madeAt));
}

/** `readings.csv`: everything that was measured, in ledger order. */
export function* csvOf({ blocks, readings, site }: Evidence): Generator<string> {
  yield CSV_HEAD + CSV_LINE_END;
  const siteTime = siteTimeIn(site.timeZone);
  for (const place of blocks) {
    const block = readings.block(place);
    yield block.readings.map((reading) => csvLine(block, reading, siteTime(reading.atMs)) + CSV_LINE_END).join('');
  }
}

function* payloadOf(evidence: Evidence, { report, page }: Enclosures): Generator<PayloadFile> {
  const { bundle, record, checkpoint, publicKey } = evidence;
  const { text, signatures } = parseNote(checkpoint.note);
  const [signature] = signatures;
  if (signature === undefined) throw new Error('the checkpoint has no signature');
  yield file(names.GUIDE, guideOf(evidence));
  yield file(names.BUNDLE, canonicalJson(bundle));
  yield file(names.RECORD, canonicalJson(record));
  yield { name: names.REPORT, contents: report };
  yield { name: names.ENTRIES, contents: entryLines(evidence) };
  yield { name: names.BLOCKS, contents: blockLines(evidence) };
  yield { name: names.READINGS, contents: readingLines(evidence) };
  yield { name: names.READINGS_CSV, contents: csvOf(evidence) };
  for (const [name, contents] of scheduleFiles(evidence)) yield file(name, contents);
  yield file(names.NOTE, checkpoint.note);
  yield file(names.NOTE_TEXT, text);
  yield file(names.SIGNATURE, signature.signature);
  yield file(names.SITE_KEY, spkiPem(publicKey));
  yield file(names.PAGE, page);
}

function file(name: string, contents: string | Uint8Array): PayloadFile {
  return { name, contents: [contents] };
}

/** The leaf as it stands in the ledger is canonical JSON already, and what its hash was taken of. */
function* entryLines({ ledger, entries, bundle }: Evidence): Generator<string> {
  for (const { seq } of entries) {
    const entry = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(leafAt(ledger, seq));
    yield `{"entry":${entry},"proof":${JSON.stringify(proofOf(ledger, seq, bundle.tree.size))},"seq":${seq}}\n`;
  }
}

function* blockLines({ ledger, blocks, bundle }: Evidence): Generator<string> {
  for (const { seq } of blocks)
    yield `${canonicalJson({ block: base64Of(leafAt(ledger, seq)), proof: proofOf(ledger, seq, bundle.tree.size), seq })}\n`;
}

function proofOf({ tree }: Evidence['ledger'], seq: number, size: number): string[] {
  return tree.inclusion(seq, size).map((hash) => Buffer.from(hash).toString('hex'));
}

function* readingLines({ blocks, readings }: Evidence): Generator<string> {
  for (const place of blocks) {
    const block = readings.block(place);
    yield block.readings.map((reading) => `${jsonLine(block, reading)}\n`).join('');
  }
}

/** The cure rules of the entries, and their tables; versions may share one. */
function scheduleFiles({ entries }: Evidence): Map<string, string> {
  const files = new Map<string, string>();
  for (const { entry } of entries) {
    if (entry.kind !== 'schedule.recorded') continue;
    const { definition, table, rateTableSha256, mixTable, mixTableSha256 } = entry;
    files.set(names.scheduleFile(definition.name, definition.version), canonicalJson(definition));
    files.set(names.rateTableFile(rateTableSha256), canonicalJson(table));
    if (mixTable !== undefined && mixTableSha256 !== undefined)
      files.set(names.rateTableFile(mixTableSha256), canonicalJson(mixTable));
  }
  return files;
}
