/** Bytes that go through `String.fromCharCode` at once: engines bound the number of arguments. */
const CHUNK = 8192;

/** `bytes` in the standard alphabet with padding (RFC 4648 §4). */
export function base64Of(bytes: Uint8Array): string {
  let binary = '';
  for (let from = 0; from < bytes.length; from += CHUNK) binary += String.fromCharCode(...bytes.subarray(from, from + CHUNK));
  return btoa(binary);
}

/**
 * The bytes that `text` stands for; null unless it is exactly what `base64Of` writes of them: no white space, no missing padding,
 * no bits set that belong to no byte (RFC 4648 §3.5), no other alphabet.
 */
export function bytesOfBase64(text: string): Uint8Array | null {
  let binary: string;
  try {
    binary = atob(text);
  } catch {
    return null;
  }
  if (btoa(binary) !== text) return null;
  return Uint8Array.from(binary, (char) => char.charCodeAt(0));
}
