import { sha256 } from '@noble/hashes/sha2.js';
import { bytesToHex } from '@noble/hashes/utils.js';
import { parseCheckpoint } from '../../../edge/evidence/checkpoint.ts';
import { parseNote } from '../../../edge/evidence/note.ts';
import { fingerprint, publicKeyOfPem } from '../../../edge/evidence/siteKey.ts';

/** What the site says of itself, to be compared with a bundle. */
export interface SignedFacts {
  readonly fingerprint: string;
  /** Null: nothing was signed yet. */
  readonly checkpoint: {
    readonly note: string;
    readonly size: number;
    readonly rootHash: string;
    readonly atMs: number | null;
  } | null;
  /** Of the page that checks bundles offline, as it is served; null where it was not built. */
  readonly pageSha256: string | null;
}

/** Asks the service. Throws where it does not answer, or not as it must. */
export async function askSigned(): Promise<SignedFacts> {
  const [pem, note, page] = await Promise.all([
    textAt('/api/ledger/key'),
    textAt('/api/ledger/checkpoint'),
    bytesAt('/verify.html'),
  ]);
  const key = pem === null ? null : publicKeyOfPem(pem);
  if (key === null) throw new Error('no key of the site');
  return {
    fingerprint: fingerprint(key),
    checkpoint: note === null ? null : checkpointIn(note),
    pageSha256: page === null ? null : bytesToHex(sha256(page)),
  };
}

function checkpointIn(note: string): SignedFacts['checkpoint'] {
  const { size, rootHash, extensions } = parseCheckpoint(parseNote(note).text);
  const time = extensions.find((line) => line.startsWith('time '))?.slice('time '.length);
  return { note, size, rootHash: bytesToHex(rootHash), atMs: time === undefined ? null : Date.parse(time) };
}

/** Null: there is no such thing. */
async function answerAt(path: string): Promise<Response | null> {
  const response = await fetch(path, { cache: 'no-store' });
  if (response.status === 404) return null;
  if (!response.ok) throw new Error(`${path}: ${response.status}`);
  return response;
}

const textAt = async (path: string) => (await answerAt(path))?.text() ?? null;

async function bytesAt(path: string): Promise<Uint8Array | null> {
  const response = await answerAt(path);
  return response === null ? null : new Uint8Array(await response.arrayBuffer());
}
