import { finished } from 'node:stream/promises';
import { constants, crc32, createDeflateRaw } from 'node:zlib';
import type { ZipInputFile } from 'fflate';

const DEFLATED = 8;

/** A file of a ZIP that grows piece by piece. It is packed on a thread of Node's own, while others have their turn on this one. */
export class DeflatedFile implements ZipInputFile {
  readonly filename: string;
  readonly mtime: Date;
  readonly compression = DEFLATED;
  size = 0;
  crc = 0;
  /** Set by the ZIP that the file is added to. */
  ondata?: NonNullable<ZipInputFile['ondata']>;
  readonly #deflate = createDeflateRaw({ level: constants.Z_DEFAULT_COMPRESSION });

  constructor(filename: string, mtime: Date) {
    this.filename = filename;
    this.mtime = mtime;
    this.#deflate.on('data', (packed: Uint8Array<ArrayBuffer>) => this.ondata?.(null, packed, false));
  }

  /** Resolves once the piece has been taken in. */
  write(chunk: Uint8Array): Promise<void> {
    this.size += chunk.length;
    this.crc = crc32(chunk, this.crc);
    return new Promise((resolve, reject) => {
      this.#deflate.write(chunk, (fault) => (fault == null ? resolve() : reject(fault)));
    });
  }

  async end(): Promise<void> {
    this.#deflate.end();
    await finished(this.#deflate);
    this.ondata?.(null, new Uint8Array(0), true);
  }

  /** Nothing more will come. */
  terminate(): void {
    this.#deflate.destroy();
  }
}
