import { randomBytes } from 'node:crypto';
import { closeSync, existsSync, fsyncSync, openSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

/** As long as 24 random bytes are in base64url. */
const LENGTH_LEAST = 32;

/**
 * A secret of the site, kept in the data folder for the service alone to read; made at the first start.
 * `fresh` says that this is that start, so that it can be told once.
 * @throws Error for a file that holds less than a whole secret: taken as it is, it would let in whoever guesses little or nothing.
 */
export function keptSecret(dataFolder: string, name: string): { readonly secret: string; readonly fresh: boolean } {
  const path = join(dataFolder, name);
  if (!existsSync(path)) {
    const secret = randomBytes(24).toString('base64url');
    keepFile(dataFolder, name, `${secret}\n`, 0o600);
    return { secret, fresh: true };
  }
  const secret = readFileSync(path, 'utf8').trim();
  if (secret.length >= LENGTH_LEAST) return { secret, fresh: false };
  throw new Error(
    `${path} holds ${secret.length} characters, and a secret has ${LENGTH_LEAST} or more; ` +
      'put the right one back, or delete the file and start again to have a new one made',
  );
}

/** Writes a file under a temporary name until it is on the disk, so that a power cut leaves all of it or nothing. */
export function keepFile(dataFolder: string, name: string, text: string, mode: number): void {
  const path = join(dataFolder, name);
  const unfinished = `${path}.new`;
  const file = openSync(unfinished, 'w', mode);
  try {
    writeFileSync(file, text);
    fsyncSync(file);
  } finally {
    closeSync(file);
  }
  renameSync(unfinished, path);
  const folder = openSync(dataFolder, 'r');
  try {
    fsyncSync(folder);
  } finally {
    closeSync(folder);
  }
}
