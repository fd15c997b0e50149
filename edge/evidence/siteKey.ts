import { ed25519 } from '@noble/curves/ed25519.js';
import { sha256 } from '@noble/hashes/sha2.js';
import { bytesToHex, concatBytes, hexToBytes } from '@noble/hashes/utils.js';
import { base64Of, bytesOfBase64 } from './base64.ts';

const KEY_BYTES = 32;
const SIGNATURE_BYTES = 64;
/** What stands before a raw Ed25519 key in a SubjectPublicKeyInfo (RFC 8410 §4). */
const SPKI_PREFIX = hexToBytes('302a300506032b6570032100');
const [BEGIN, END] = ['-----BEGIN PUBLIC KEY-----\n', '\n-----END PUBLIC KEY-----\n'];

/**
 * Whether `signature` is an Ed25519 signature (RFC 8032 §5.1.7) of `message` under `publicKey`, read strictly: key and first
 * half of the signature are points in their one encoding and of the full prime order. On such points the cofactored and the
 * plain equation agree, so that no two programs judge differently, and no key fits several messages by itself.
 */
export function isSignedBy(publicKey: Uint8Array, message: Uint8Array, signature: Uint8Array): boolean {
  if (publicKey.length !== KEY_BYTES || signature.length !== SIGNATURE_BYTES) return false;
  if (![publicKey, signature.subarray(0, KEY_BYTES)].every(isStrictPoint)) return false;
  return ed25519.verify(signature, message, publicKey, { zip215: false });
}

function isStrictPoint(bytes: Uint8Array): boolean {
  try {
    const point = ed25519.Point.fromBytes(bytes);
    return !point.isSmallOrder() && point.isTorsionFree();
  } catch {
    return false;
  }
}

/** A raw Ed25519 key as SubjectPublicKeyInfo in DER (RFC 8410). */
export function spkiDer(publicKey: Uint8Array): Uint8Array {
  return concatBytes(SPKI_PREFIX, publicKey);
}

/** The key in the form that `openssl` reads: PEM (RFC 7468 §13). */
export function spkiPem(publicKey: Uint8Array): string {
  return `${BEGIN}${base64Of(spkiDer(publicKey))}${END}`;
}

/** The raw key of a PEM text; null unless the text is exactly what `spkiPem` writes of a usable key. */
export function publicKeyOfPem(pem: string): Uint8Array | null {
  const der = bytesOfBase64(pem.slice(BEGIN.length, -END.length));
  if (der?.length !== SPKI_PREFIX.length + KEY_BYTES) return null;
  const publicKey = der.slice(SPKI_PREFIX.length);
  return spkiPem(publicKey) === pem && isStrictPoint(publicKey) ? publicKey : null;
}

/** What people compare: SHA-256 of the key's SubjectPublicKeyInfo, 64 hexadecimal digits in groups of four. */
export function fingerprint(publicKey: Uint8Array): string {
  return (bytesToHex(sha256(spkiDer(publicKey))).match(/.{4}/g) ?? []).join(' ');
}

/** Whether a fingerprint that somebody typed or pasted is that of the key, whatever its spacing, colons and capitals. */
export function isFingerprintOf(said: string, publicKey: Uint8Array): boolean {
  return said.replace(/[\s:]/g, '').toLowerCase() === fingerprint(publicKey).replaceAll(' ', '');
}
