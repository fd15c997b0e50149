/**
 * The text of an answer, read as it comes and given up as soon as there is too much of it, whatever length it had announced.
 * @throws Error in plain words.
 */
export async function textOf(response: Response, bytesMost: number): Promise<string> {
  const decoder = new TextDecoder('utf-8', { fatal: true });
  let bytes = 0;
  let text = '';
  // Leaving the loop cancels the rest.
  for await (const chunk of response.body ?? []) {
    bytes += chunk.length;
    if (bytes > bytesMost) throw new Error(`its answer is longer than ${bytesMost / 1024} KiB`);
    text += decoded(decoder, chunk);
  }
  return text + decoded(decoder);
}

function decoded(decoder: TextDecoder, chunk?: Uint8Array): string {
  try {
    return decoder.decode(chunk, { stream: chunk !== undefined });
  } catch {
    throw new Error('its answer is not UTF-8 text');
  }
}
