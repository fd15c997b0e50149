/** What the standard typefaces of PDF have beside Latin-1 (WinAnsiEncoding, ISO 32000-1 annex D). */
const BEYOND_LATIN = new Set('€‚ƒ„…†‡ˆ‰Š‹ŒŽ‘’“”•–—˜™š›œžŸ');
/** They look the same, or nearly so. */
const ALIKE: Readonly<Record<string, string>> = {
  '\u2212': '-',
  '\u2010': '-',
  '\u2011': '-',
  '\u2009': ' ',
  '\u202f': ' ',
  '\u00a0': ' ',
};

/**
 * Text as the standard typefaces can write it: in one line, and whatever they do not have as its number in square brackets, such as
 * `[U+0416]`, so that nothing comes out as another sign than it is, or as none.
 */
export function winAnsi(text: string): { readonly text: string; readonly isWhole: boolean } {
  let isWhole = true;
  let written = '';
  let unwritten: string[] = [];
  const flush = () => {
    if (unwritten.length > 0) written += `[${unwritten.join(' ')}]`;
    unwritten = [];
  };
  const lines = text.normalize('NFC').split(/\s*[\r\n\u2028\u2029]+\s*/);
  for (const character of lines.join(' / ').replaceAll('\t', ' ')) {
    const alike = ALIKE[character] ?? character;
    if (isWritable(alike)) {
      flush();
      written += alike;
    } else {
      isWhole = false;
      unwritten.push(`U+${(character.codePointAt(0) ?? 0).toString(16).toUpperCase().padStart(4, '0')}`);
    }
  }
  flush();
  return { text: written, isWhole };
}

function isWritable(character: string): boolean {
  const code = character.codePointAt(0) ?? 0;
  // The soft hyphen (AD) is a place to break a line, and not seen.
  return (code >= 0x20 && code <= 0x7e) || (code >= 0xa1 && code <= 0xff && code !== 0xad) || BEYOND_LATIN.has(character);
}
