import { base64Of, bytesOfBase64 } from './base64.ts';
import { EMPTY_ROOT, isSame } from './merkle.ts';
import { faultOfLines } from './noteLines.ts';

const HASH_BYTES = 32;
const FIRST_EXTENSION = 3;

/** What a log says of itself at one moment (C2SP tlog-checkpoint): the text of a signed note. */
export interface Checkpoint {
  /** Which log this is. */
  readonly origin: string;
  /** Number of leaves. */
  readonly size: number;
  /** Root of the tree over them. */
  readonly rootHash: Uint8Array;
  /** Further lines, without their newlines. */
  readonly extensions: readonly string[];
}

/** The text that is signed. Throws a SyntaxError where `checkpoint` has no such text. */
export function checkpointText(checkpoint: Checkpoint): string {
  const { origin, size, rootHash, extensions } = checkpoint;
  const lines = [origin, String(size), base64Of(rootHash), ...extensions];
  if (lines.some((line) => line.includes('\n'))) throw refusal('one of its parts holds a newline');
  const text = lines.map((line) => `${line}\n`).join('');
  parseCheckpoint(text);
  return text;
}

/**
 * Reads the text of a checkpoint.
 *
 * @throws SyntaxError with a sentence that says what is wrong.
 */
export function parseCheckpoint(text: string): Checkpoint {
  const fault = faultOfLines(text);
  if (fault !== null) throw refusal(fault);
  const lines = text.slice(0, -1).split('\n');
  const empty = lines.indexOf('');
  if (empty >= 0) throw refusal(`line ${empty + 1} is empty`);
  const [origin, sizeText, rootText] = lines;
  if (origin === undefined || sizeText === undefined || rootText === undefined)
    throw refusal('it has fewer than three lines: the origin, the size and the root');
  const size = Number(sizeText);
  if (!/^(?:0|[1-9][0-9]*)$/.test(sizeText) || !Number.isSafeInteger(size))
    throw refusal('line 2 is not a number of leaves in plain digits');
  const rootHash = bytesOfBase64(rootText);
  if (rootHash?.length !== HASH_BYTES) throw refusal(`line 3 is not a root hash: ${HASH_BYTES} bytes in base64`);
  if (size === 0 && !isSame(rootHash, EMPTY_ROOT)) throw refusal('it has no leaves, but not the root of the empty tree');
  return { origin, size, rootHash, extensions: lines.slice(FIRST_EXTENSION) };
}

function refusal(what: string): SyntaxError {
  return new SyntaxError(`not a checkpoint: ${what}`);
}
