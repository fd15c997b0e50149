import { sha256 } from '@noble/hashes/sha2.js';
import { bytesToHex } from '@noble/hashes/utils.js';
import { CHECKS, type Check, type CheckId, type Verdict, verifyBundle } from '../../edge/evidence/verify.ts';

/** A bundle to be judged. */
export interface Asked {
  readonly id: number;
  readonly file: Blob;
  /** A fingerprint that the reader got another way. */
  readonly trustedKey: string | null;
}

/** What comes of it, bit by bit. `Contents`: what else is made of the file, where more than a verdict is wanted. */
export type Told<Contents = never> =
  | { readonly kind: 'begun'; readonly titles: readonly (readonly [CheckId, string])[] }
  | { readonly kind: 'checked'; readonly check: Check }
  | { readonly kind: 'judged'; readonly verdict: Verdict; readonly sha256: string; readonly tookMs: number }
  | { readonly kind: 'opened'; readonly contents: Contents }
  | { readonly kind: 'unread'; readonly detail: string };

/** Judges a file and tells each check as soon as it is done. Returns its bytes, or null where it could not be read. */
export async function judge({ file, trustedKey }: Asked, tell: (told: Told) => void): Promise<Uint8Array | null> {
  const startMs = performance.now();
  tell({ kind: 'begun', titles: Object.entries(CHECKS) as [CheckId, string][] });
  let bytes: Uint8Array;
  try {
    bytes = new Uint8Array(await file.arrayBuffer());
  } catch (fault) {
    tell({ kind: 'unread', detail: (fault as Error).message });
    return null;
  }
  const verdict = verifyBundle(bytes, { trustedKey, onCheck: (check) => tell({ kind: 'checked', check }) });
  const digest = bytesToHex(sha256(bytes));
  tell({ kind: 'judged', verdict, sha256: digest, tookMs: performance.now() - startMs });
  return bytes;
}
