import { sha256 } from '@noble/hashes/sha2.js';

const LEAF = Uint8Array.of(0);

/** Hash of a leaf: SHA-256 over 0x00 and the leaf's bytes (RFC 6962 §2.1). */
export function leafHash(body: Uint8Array): Uint8Array {
  return sha256.create().update(LEAF).update(body).digest();
}
