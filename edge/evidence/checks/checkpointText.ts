import { bytesToHex } from '@noble/hashes/utils.js';
import type { Bag } from '../bagit.ts';
import { type Bundle, NOTE, NOTE_TEXT, originOf, SIGNATURE } from '../bundle.ts';
import { type Checkpoint, parseCheckpoint } from '../checkpoint.ts';
import { isSame } from '../merkle.ts';
import { parseNote, type SignedNote } from '../note.ts';
import { textOfUtf8 } from '../utf8.ts';
import { failed, type Looked, passed } from './looked.ts';

/** A checkpoint with the time that it was made. */
export interface TimedCheckpoint {
  readonly note: SignedNote;
  readonly checkpoint: Checkpoint;
  /** UTC ms. */
  readonly atMs: number;
}

const CONSEQUENCE =
  'What is signed is not what the bundle shows. Without a checkpoint that fits, nothing in it is vouched for by anybody.';

/** Checkpoint, its plain pieces and the bundle speak of the same tree. */
export function lookAtCheckpointText({ payload }: Bag, bundle: Bundle): Looked<TimedCheckpoint> {
  const wrong = (what: string) => failed(what, CONSEQUENCE);
  const text = textOfUtf8(payload.get(NOTE) ?? new Uint8Array(0));
  if (text === null) return wrong(`${NOTE} is not UTF-8.`);
  let note: SignedNote;
  let checkpoint: Checkpoint;
  try {
    note = parseNote(text);
    checkpoint = parseCheckpoint(note.text);
  } catch (fault) {
    return wrong(`${NOTE}: ${(fault as Error).message}.`);
  }
  const [signature, ...more] = note.signatures;
  if (signature === undefined || more.length > 0) return wrong(`${NOTE} has ${note.signatures.length} signatures, not one.`);
  if (textOfUtf8(payload.get(NOTE_TEXT) ?? new Uint8Array(0)) !== note.text)
    return wrong(`${NOTE_TEXT} is not the text that ${NOTE} holds.`);
  if (!isSame(payload.get(SIGNATURE) ?? new Uint8Array(0), signature.signature))
    return wrong(`${SIGNATURE} is not the signature that ${NOTE} holds.`);

  const { origin, size, rootHash, extensions } = checkpoint;
  const { site, tree, key } = bundle;
  if (origin !== originOf(site)) return wrong(`The checkpoint is of ${origin}, the bundle of ${originOf(site)}.`);
  if (key.name !== originOf(site) || signature.name !== key.name)
    return wrong(`The signature names the key ${signature.name}, the bundle ${key.name}; both must be ${originOf(site)}.`);
  if (size !== tree.size) return wrong(`The checkpoint is over ${size} leaves, the bundle says ${tree.size}.`);
  if (bytesToHex(rootHash) !== tree.rootHash)
    return wrong(`The checkpoint has the root ${bytesToHex(rootHash)}, the bundle says ${tree.rootHash}.`);
  const [, time] = /^time (\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z)$/.exec(extensions[0] ?? '') ?? [];
  const atMs = Date.parse(time ?? '');
  if (extensions.length !== 1 || Number.isNaN(atMs)) return wrong('The checkpoint does not say when it was made.');
  return passed({ note, checkpoint, atMs }, `Checkpoint of ${origin} over ${size} leaves, made ${time}.`);
}
