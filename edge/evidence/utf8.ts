/**
 * The text that these bytes are in UTF-8; null where they are not UTF-8. A byte order mark stays in the text as a character:
 * two different files never read as one text.
 */
export function textOfUtf8(bytes: Uint8Array): string | null {
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    return null;
  }
}
