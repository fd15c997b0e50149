/** Tab, line feed, carriage return; nothing else below a blank stands in a text that people or programs write. */
const CONTROLS_ALLOWED: readonly number[] = [9, 10, 13];

/** Whether these bytes can be the beginning of a text file: UTF-8 or Latin letters, and no control characters. */
export function isText(bytes: ArrayBuffer): boolean {
  return new Uint8Array(bytes).every((byte) => (byte >= 32 && byte !== 127) || CONTROLS_ALLOWED.includes(byte));
}
