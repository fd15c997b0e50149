import type { ForecastSettings } from './fetch.ts';

/** Shorter ones stand by chance in what is said. */
const SECRET_LENGTH_LEAST = 4;
/** A shorter part of a path is more likely a word than a key. */
const PATH_PART_LENGTH_LEAST = 6;

/** Takes out of what is said all that may be a key in the address or in the header, also where it is written another way. */
export function maskOf({ url, header }: Pick<ForecastSettings, 'url' | 'header'>): (text: string) => string {
  const { pathname, search, hash } = new URL(url);
  const path = pathname.split('/').filter(({ length }) => length >= PATH_PART_LENGTH_LEAST);
  const query = search.slice(1);
  const pairs = query.split('&');
  const values = pairs.map((pair) => (pair.includes('=') ? pair.slice(pair.indexOf('=') + 1) : pair));
  const value = header?.value ?? '';
  const parts = [...path, query, ...pairs, ...values, hash.slice(1), value, ...value.split(/[\s,;:="]+/)];
  const secrets = new Set(parts.flatMap(writings).filter(({ length }) => length >= SECRET_LENGTH_LEAST));
  if (secrets.size === 0) return (text) => text;
  // The longest first, so that no rest of one is left beside its beginning.
  const longestFirst = [...secrets].sort((a, b) => b.length - a.length);
  const pattern = new RegExp(longestFirst.map((secret) => RegExp.escape(secret)).join('|'), 'gi');
  return (text) => text.replace(pattern, '…');
}

/** A part as it stands, percent-decoded and percent-encoded. */
function writings(part: string): string[] {
  const decoded = [part, decodedOf(part), decodedOf(part.replaceAll('+', ' '))];
  return [...decoded, ...decoded.map((text) => encodeURIComponent(text.toWellFormed()))];
}

function decodedOf(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    return part;
  }
}
