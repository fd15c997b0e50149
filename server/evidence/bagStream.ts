import { createHash } from 'node:crypto';
import { Zip } from 'fflate';
import { BAG_DECLARATION, BAG_INFO, DECLARATION, PAYLOAD, PAYLOAD_MANIFEST, TAG_MANIFEST } from '../../edge/evidence/bagit.ts';
import { DeflatedFile } from './deflatedFile.ts';

/** Made and packed in one go: what waits on this thread meanwhile waits no longer. */
const CHUNK_CHARACTERS = 64 * 1024;

/** What a file holds, piece by piece. */
export type Contents = Iterable<string | Uint8Array> | AsyncIterable<string | Uint8Array>;

/** A file of a bag's payload, by its path below `data/`. */
export interface PayloadFile {
  readonly name: string;
  readonly contents: Contents;
}

/**
 * A BagIt bag (RFC 8493) in one folder of a ZIP, as it is packed: no more than a chunk of it is ever held. Manifests are written
 * last, since they name the hash of everything before them; the RFC leaves the order of files open.
 *
 * @throws whatever `files` throw; what was handed out until then is no whole ZIP.
 */
export async function* bagStream(
  folder: string,
  files: Iterable<PayloadFile> | AsyncIterable<PayloadFile>,
  baggedAt: Date,
): AsyncGenerator<Uint8Array> {
  const packer = new Packer(folder, baggedAt);
  let bytes = 0;
  let payload = '';
  let count = 0;
  for await (const { name, contents } of files) {
    const path = `${PAYLOAD}${name}`;
    const packed = yield* packer.pack(path, contents);
    bytes += packed.bytes;
    count++;
    payload += `${packed.sha256}  ${path}\n`;
  }
  let tags = '';
  for (const [name, text] of [
    [BAG_DECLARATION, DECLARATION],
    [BAG_INFO, `Bagging-Date: ${baggedAt.toISOString().slice(0, 10)}\nPayload-Oxum: ${bytes}.${count}\n`],
    [PAYLOAD_MANIFEST, payload],
  ] as const) {
    const { sha256 } = yield* packer.pack(name, [text]);
    tags += `${sha256}  ${name}\n`;
  }
  yield* packer.pack(TAG_MANIFEST, [tags]);
  yield* packer.end();
}

/** Packs one file after the other. */
class Packer {
  readonly #folder: string;
  readonly #mtime: Date;
  readonly #zip: Zip;
  #ready: Uint8Array[] = [];

  constructor(folder: string, mtime: Date) {
    this.#folder = folder;
    this.#mtime = mtime;
    this.#zip = new Zip((fault, chunk) => {
      if (fault !== null) throw fault;
      this.#ready.push(chunk);
    });
  }

  async *pack(name: string, contents: Contents): AsyncGenerator<Uint8Array, { readonly bytes: number; readonly sha256: string }> {
    const file = new DeflatedFile(`${this.#folder}/${name}`, this.#mtime);
    this.#zip.add(file);
    const hash = createHash('sha256');
    try {
      for await (const chunk of chunksOf(contents)) {
        hash.update(chunk);
        await file.write(chunk);
        yield* this.#taken();
      }
      await file.end();
      yield* this.#taken();
    } finally {
      file.terminate();
    }
    return { bytes: file.size, sha256: hash.digest('hex') };
  }

  *end(): Generator<Uint8Array> {
    this.#zip.end();
    yield* this.#taken();
  }

  #taken(): Uint8Array[] {
    const ready = this.#ready;
    this.#ready = [];
    return ready;
  }
}

/** The same contents in pieces of a handy size. */
async function* chunksOf(contents: Contents): AsyncGenerator<Uint8Array> {
  const encoder = new TextEncoder();
  let text = '';
  for await (const piece of contents) {
    if (typeof piece === 'string') {
      text += piece;
      if (text.length < CHUNK_CHARACTERS) continue;
    }
    if (text !== '') yield encoder.encode(text);
    text = '';
    if (typeof piece !== 'string')
      for (let from = 0; from < piece.length; from += CHUNK_CHARACTERS) yield piece.subarray(from, from + CHUNK_CHARACTERS);
  }
  if (text !== '') yield encoder.encode(text);
}
