import type { Bag } from '../bagit.ts';
import { NOTE, SITE_KEY } from '../bundle.ts';
import { verifyNote } from '../note.ts';
import { publicKeyOfPem } from '../siteKey.ts';
import { textOfUtf8 } from '../utf8.ts';
import type { TimedCheckpoint } from './checkpointText.ts';
import { failed, type Looked, passed } from './looked.ts';

/** The checkpoint was signed with the key that the bundle encloses; the value is that key. */
export function lookAtSignature({ payload }: Bag, { note, checkpoint }: TimedCheckpoint): Looked<Uint8Array> {
  const key = publicKeyOfPem(textOfUtf8(payload.get(SITE_KEY) ?? new Uint8Array(0)) ?? '');
  if (key === null)
    return failed(
      `${SITE_KEY} is no Ed25519 key in the form that it must have.`,
      'Without the key nobody can tell who signed. Ask for the bundle again.',
    );
  if (!verifyNote(note, checkpoint.origin, key))
    return failed(
      `The signature in ${NOTE} was not made over this text with the key in ${SITE_KEY}.`,
      'The checkpoint was changed after it was signed, or somebody else signed it. Nothing in the bundle is vouched for.',
    );
  return passed(key, 'Ed25519, over the very text of the checkpoint.');
}
