const LENGTH_MOST = 64;

/**
 * An identifier from a label: letters without accents, digits and hyphens. `fallback` where a label has none of these. A number at the
 * end keeps it apart from those `taken`.
 */
export function slugOf(label: string, taken: ReadonlySet<string>, fallback: string): string {
  const plain = label
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-');
  const base = trimmed(plain.slice(0, LENGTH_MOST)) || fallback;
  if (!taken.has(base)) return base;
  for (let number = 2; ; number++) {
    const ending = `-${number}`;
    const next = trimmed(base.slice(0, LENGTH_MOST - ending.length)) + ending;
    if (!taken.has(next)) return next;
  }
}

const trimmed = (text: string) => text.replace(/^-+|-+$/g, '');
