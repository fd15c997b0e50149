/** Room for the signatures of several kilobytes that C2SP signed-note foresees. */
const LINE_CHARS_MAX = 10_000;
const CHARS_MAX = 200_000;

/** What keeps `text` from being lines that end in a newline each and hold no control character; null where nothing does. */
export function faultOfLines(text: string): string | null {
  if (text.length > CHARS_MAX) return `it is longer than ${CHARS_MAX} characters`;
  if (!text.isWellFormed()) return 'it holds a lone surrogate';
  if (text.includes('\r')) return 'its lines end in carriage returns';
  // biome-ignore lint/suspicious/noControlCharactersInRegex: these are what is looked for.
  if (/[\u0000-\u0009\u000b-\u001f]/.test(text)) return 'it holds a control character';
  if (!text.endsWith('\n')) return 'its last line does not end in a newline';
  const long = text.split('\n').findIndex((line) => line.length > LINE_CHARS_MAX);
  return long < 0 ? null : `line ${long + 1} is longer than ${LINE_CHARS_MAX} characters`;
}
