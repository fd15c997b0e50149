import { randomBytes } from 'node:crypto';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

/**
 * A secret of the site, kept in the data folder for the service alone to read; made at the first start.
 * `fresh` says that this is that start, so that it can be told once.
 */
export function keptSecret(dataFolder: string, name: string): { readonly secret: string; readonly fresh: boolean } {
  const path = join(dataFolder, name);
  if (existsSync(path)) return { secret: readFileSync(path, 'utf8').trim(), fresh: false };
  const secret = randomBytes(24).toString('base64url');
  writeFileSync(path, `${secret}\n`, { mode: 0o600, flag: 'wx' });
  return { secret, fresh: true };
}
