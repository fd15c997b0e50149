import type { Bundle } from '../bundle.ts';
import { fingerprint, isFingerprintOf } from '../siteKey.ts';
import { failed, type Looked, passed } from './looked.ts';

/** The key is the one that the reader trusts; the value says whether there was one to compare with. */
export function lookAtKey(key: Uint8Array, bundle: Bundle, trustedKey: string | null): Looked<{ readonly compared: boolean }> {
  const own = fingerprint(key);
  if (bundle.key.fingerprint !== own)
    return failed(
      `The key has the fingerprint ${own}; the bundle says ${bundle.key.fingerprint}.`,
      'The key was exchanged after the bundle was made. Whoever did that could have signed anything.',
    );
  if (trustedKey === null)
    return passed(
      { compared: false },
      `The key is the bundle’s own: compare its fingerprint with one you got another way. ${own}`,
    );
  if (!isFingerprintOf(trustedKey, key))
    return failed(
      `The key has the fingerprint ${own}; the one that you gave is ${trustedKey}.`,
      'It was not signed by the site whose key you were given. Do not rely on it.',
    );
  return passed({ compared: true }, `It has the fingerprint that you gave: ${own}`);
}
