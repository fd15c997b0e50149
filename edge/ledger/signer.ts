import { createPrivateKey, createPublicKey, generateKeyPairSync, type KeyObject, sign } from 'node:crypto';
import { existsSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { originOf } from '../evidence/bundle.ts';
import { checkpointText } from '../evidence/checkpoint.ts';
import { noteOf } from '../evidence/note.ts';
import { spkiPem } from '../evidence/siteKey.ts';
import { keepFile } from '../secrets.ts';

/** The private key, PKCS #8 in PEM, for the service alone to read … */
export const KEY_FILE = 'site-key';
/** … and the public one, for everybody. */
export const PUBLIC_KEY_FILE = 'site-key.pub.pem';

/** Beyond the owner's own rights. */
const OTHERS = 0o077;
/** RFC 8410 §4: an Ed25519 key in SubjectPublicKeyInfo ends with its 32 bytes. */
const RAW_BYTES = 32;

/**
 * Signs checkpoints with the site's Ed25519 key (RFC 8032). The key is made at the first start. Whoever verifies needs the public
 * half alone, and never this file.
 */
export class Signer {
  /** Of the key and of the checkpoints, such as `warmhours/yard`. */
  readonly name: string;
  /** 32 bytes. */
  readonly publicKey: Uint8Array;
  readonly #key: KeyObject;

  /**
   * @throws Error in plain words for a key that others can read, that is none, or that is not the one whose public half lies
   * beside it: signed with another key, checkpoints would say nothing to those who know this one.
   */
  static open(dataFolder: string, site: string): Signer {
    const path = join(dataFolder, KEY_FILE);
    const publicPath = join(dataFolder, PUBLIC_KEY_FILE);
    const isMade = existsSync(path);
    if (!isMade && existsSync(publicPath))
      throw new Error(
        `${path} is gone, but its public half ${PUBLIC_KEY_FILE} is there; put the key back from a backup, or move the public ` +
          'half away to have a new key made, and tell everybody who checks bundles of this site its fingerprint',
      );
    const signer = new Signer(site, isMade ? keyIn(path) : madeKey(dataFolder));
    const pem = spkiPem(signer.publicKey);
    if (!existsSync(publicPath)) keepFile(dataFolder, PUBLIC_KEY_FILE, pem, 0o644);
    else if (readFileSync(publicPath, 'utf8') !== pem)
      throw new Error(
        `${path} is not the key whose public half is ${PUBLIC_KEY_FILE}; put the right one back, or move the public half away if ` +
          'the key was changed on purpose',
      );
    return signer;
  }

  private constructor(site: string, key: KeyObject) {
    this.name = originOf(site);
    this.#key = key;
    this.publicKey = Uint8Array.from(createPublicKey(key).export({ type: 'spki', format: 'der' }).subarray(-RAW_BYTES));
  }

  /** A checkpoint over the first `size` leaves as a signed note (C2SP signed-note and tlog-checkpoint). */
  checkpoint(size: number, rootHash: Uint8Array, atMs: number): string {
    const { name } = this;
    const text = checkpointText({ origin: name, size, rootHash, extensions: [`time ${new Date(atMs).toISOString()}`] });
    return noteOf(text, name, this.publicKey, sign(null, Buffer.from(text), this.#key));
  }
}

function madeKey(dataFolder: string): KeyObject {
  const { privateKey } = generateKeyPairSync('ed25519');
  keepFile(dataFolder, KEY_FILE, privateKey.export({ type: 'pkcs8', format: 'pem' }).toString(), 0o600);
  return privateKey;
}

function keyIn(path: string): KeyObject {
  const { mode } = statSync(path);
  if ((mode & OTHERS) !== 0) {
    const rights = (mode & 0o777).toString(8).padStart(4, '0');
    throw new Error(`${path} has the mode ${rights}, so others can reach the site's key; run: chmod 600 ${path}`);
  }
  const pem = readFileSync(path, 'utf8');
  if (pem.trim() === '') throw notKey(path, 'is empty');
  let key: KeyObject;
  try {
    key = createPrivateKey(pem);
  } catch {
    throw notKey(path, 'holds no private key in PEM');
  }
  if (key.asymmetricKeyType !== 'ed25519') throw notKey(path, `holds a key of the kind ${key.asymmetricKeyType}, not Ed25519`);
  return key;
}

function notKey(path: string, what: string): Error {
  return new Error(`${path} ${what}; put the right key back from a backup`);
}
