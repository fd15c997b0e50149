import { sha256 } from '@noble/hashes/sha2.js';
import { bytesToHex, concatBytes, utf8ToBytes } from '@noble/hashes/utils.js';
import { base64Of, bytesOfBase64 } from './base64.ts';
import { isSame } from './merkle.ts';
import { faultOfLines } from './noteLines.ts';
import { isSignedBy } from './siteKey.ts';

/** Signature lines of the form of C2SP signed-note: text, an empty line, then one line for each signature. */
const DASH = '— ';
/** The type of a signature that is Ed25519 over the text (C2SP signed-note, "Signature types"). */
const ED25519 = Uint8Array.of(1);
const KEY_HASH_BYTES = 4;
/** A reader must take 16 (C2SP signed-note, "Format"); this one takes no more. */
const SIGNATURES_MAX = 16;

export interface NoteSignature {
  /** Name of the key: no space, no plus sign. */
  readonly name: string;
  /** What `keyHashOf` says of the key that signed. */
  readonly keyHash: Uint8Array;
  readonly signature: Uint8Array;
}

export interface SignedNote {
  /** What is signed, with its last newline. */
  readonly text: string;
  readonly signatures: readonly NoteSignature[];
}

/** First four bytes of SHA-256 over name, newline, 0x01 and the raw Ed25519 key: tells keys apart, proves nothing. */
export function keyHashOf(name: string, publicKey: Uint8Array): Uint8Array {
  return sha256(concatBytes(utf8ToBytes(`${name}\n`), ED25519, publicKey)).slice(0, KEY_HASH_BYTES);
}

/** A key as those who check notes write it down: name, key hash in hexadecimal and the typed key in base64, joined by plus signs. */
export function verifierKey(name: string, publicKey: Uint8Array): string {
  return `${name}+${bytesToHex(keyHashOf(name, publicKey))}+${base64Of(concatBytes(ED25519, publicKey))}`;
}

/** The note of `text` and one Ed25519 signature over its UTF-8 bytes. Throws a SyntaxError where that would be no note. */
export function noteOf(text: string, name: string, publicKey: Uint8Array, signature: Uint8Array): string {
  const note = `${text}\n${DASH}${name} ${base64Of(concatBytes(keyHashOf(name, publicKey), signature))}\n`;
  if (parseNote(note).text !== text) throw refusal('the text does not end in a newline');
  return note;
}

/**
 * Takes a signed note (C2SP signed-note) apart. Says nothing of who signed: that is `verifyNote`.
 *
 * @throws SyntaxError with a sentence that says what is wrong.
 */
export function parseNote(note: string): SignedNote {
  const fault = faultOfLines(note);
  if (fault !== null) throw refusal(fault);
  const split = note.lastIndexOf('\n\n');
  if (split < 0) throw refusal('no empty line parts the text from the signatures');
  const lines = note.slice(split + 2, -1).split('\n');
  if (lines.length > SIGNATURES_MAX) throw refusal(`it has ${lines.length} signature lines, and ${SIGNATURES_MAX} are the most`);
  return { text: note.slice(0, split + 1), signatures: lines.map(signatureOf) };
}

function signatureOf(line: string, index: number): NoteSignature {
  const which = `signature line ${index + 1}`;
  if (line === '') throw refusal('it has no signature line');
  if (!line.startsWith(DASH)) throw refusal(`${which} does not begin with an em dash and a space`);
  const [name = '', base64, ...more] = line.slice(DASH.length).split(' ');
  if (base64 === undefined || more.length > 0) throw refusal(`${which} is not a name, a space and a signature`);
  // White space as Unicode has it: \s of ECMAScript lacks U+0085.
  if (name === '' || /[\s\u0085+]/u.test(name)) throw refusal(`${which} has a name that no key can have`);
  const bytes = bytesOfBase64(base64);
  if (bytes === null) throw refusal(`${which} holds no base64`);
  if (bytes.length <= KEY_HASH_BYTES) throw refusal(`${which} is too short for a key hash and a signature`);
  return { name, keyHash: bytes.slice(0, KEY_HASH_BYTES), signature: bytes.slice(KEY_HASH_BYTES) };
}

/**
 * Whether the key of that name signed the note: at least one signature bears its name and hash, and each that does is right.
 * Signatures of other keys are passed over, as C2SP signed-note asks.
 */
export function verifyNote(note: SignedNote, name: string, publicKey: Uint8Array): boolean {
  const keyHash = keyHashOf(name, publicKey);
  const own = note.signatures.filter((signature) => signature.name === name && isSame(signature.keyHash, keyHash));
  const message = utf8ToBytes(note.text);
  return own.length > 0 && own.every(({ signature }) => isSignedBy(publicKey, message, signature));
}

function refusal(what: string): SyntaxError {
  return new SyntaxError(`not a signed note: ${what}`);
}
