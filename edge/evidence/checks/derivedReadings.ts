import type { Bag } from '../bagit.ts';
import { type Block, decodeBlock } from '../block.ts';
import { READINGS, READINGS_CSV } from '../bundle.ts';
import { CSV_HEAD, CSV_LINE_END, csvLine, jsonLine, siteTimeIn } from '../readingsText.ts';
import { textOfUtf8 } from '../utf8.ts';
import type { Enclosed } from './canonical.ts';
import { failed, type Looked, passed } from './looked.ts';

const CONSEQUENCE =
  'The readings that people open are not those that were signed: one was changed, added or taken out. Nothing computed from them can be relied on.';

/** `readings.ndjson` and `readings.csv` hold the readings of the blocks, all of them and no others; the value are the blocks. */
export function lookAtDerivedReadings({ payload }: Bag, { blocks }: Enclosed): Looked<readonly Block[]> {
  const decoded: Block[] = [];
  for (const { where, bytes } of blocks) {
    try {
      decoded.push(decodeBlock(bytes));
    } catch (fault) {
      return failed(`${where}: ${(fault as Error).message}.`, CONSEQUENCE);
    }
  }
  const lines = new Lines(textOfUtf8(payload.get(READINGS) ?? new Uint8Array(0)) ?? '', '\n');
  const rows = new Lines(textOfUtf8(payload.get(READINGS_CSV) ?? new Uint8Array(0)) ?? '', CSV_LINE_END);
  if (rows.next() !== CSV_HEAD) return failed(`${READINGS_CSV} line 1 does not name its columns.`, CONSEQUENCE);
  let count = 0;
  for (const block of decoded)
    for (const reading of block.readings) {
      count++;
      if (lines.next() !== jsonLine(block, reading))
        return failed(`${READINGS} line ${lines.line} is not reading ${count} of the blocks.`, CONSEQUENCE);
      const row = rows.next() ?? '';
      const siteTime = siteTimeIn(row, reading.atMs);
      if (siteTime === null || row !== csvLine(block, reading, siteTime))
        return failed(`${READINGS_CSV} line ${rows.line} is not reading ${count} of the blocks.`, CONSEQUENCE);
    }
  for (const [name, rest] of [
    [READINGS, lines],
    [READINGS_CSV, rows],
  ] as const)
    if (!rest.isAtEnd) return failed(`${name} goes on after the last reading of the blocks.`, CONSEQUENCE);
  return passed(decoded, `${count} readings, the same in both files as in the blocks.`);
}

/** The lines of a text, one after the other. */
class Lines {
  line = 0;
  readonly #text: string;
  readonly #end: string;
  #place = 0;

  constructor(text: string, end: string) {
    this.#text = text;
    this.#end = end;
  }

  /** Null after the last one, and for one without an end. */
  next(): string | null {
    this.line++;
    const end = this.#text.indexOf(this.#end, this.#place);
    if (end < 0) return null;
    const line = this.#text.slice(this.#place, end);
    this.#place = end + this.#end.length;
    return line;
  }

  get isAtEnd(): boolean {
    return this.#place === this.#text.length;
  }
}
