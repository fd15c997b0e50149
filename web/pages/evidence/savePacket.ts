import { type Problem, problemOf } from '../../api/call.ts';
import { text } from '../../text/text.ts';

export type Saved =
  | { readonly kind: 'saved'; readonly name: string; readonly bytes: number }
  | { readonly kind: 'stopped' }
  | { readonly kind: 'broken' }
  | { readonly kind: 'refused'; readonly problem: Problem };

/**
 * Fetches a file that is made while it is sent and hands it to the browser to save, once it is whole. `onBytes` is told how much is
 * here. Never throws.
 */
export async function savePacket(path: string, stop: AbortSignal, onBytes: (bytes: number) => void): Promise<Saved> {
  let begun = false;
  try {
    const response = await fetch(path, { cache: 'no-store', signal: stop });
    if (!response.ok) return { kind: 'refused', problem: problemOf(response.status, await response.json().catch(() => null)) };
    begun = true;
    const parts: Uint8Array<ArrayBuffer>[] = [];
    let bytes = 0;
    for (const reader = response.body?.getReader(); reader !== undefined; ) {
      const { done, value } = await reader.read();
      if (done) break;
      parts.push(value);
      bytes += value.byteLength;
      onBytes(bytes);
    }
    const name = nameIn(response) ?? path.split('?')[0]?.split('/').at(-1) ?? 'evidence';
    handOver(new Blob(parts, { type: response.headers.get('content-type') ?? '' }), name);
    return { kind: 'saved', name, bytes };
  } catch {
    if (stop.aborted) return { kind: 'stopped' };
    if (begun) return { kind: 'broken' };
    const { unreachable: title, unreachableDetail: detail } = text.problem;
    return { kind: 'refused', problem: problemOf(0, { title, detail }) };
  }
}

/** As the service named it (RFC 6266). */
function nameIn(response: Response): string | null {
  return /filename="?([^";]+)"?/.exec(response.headers.get('content-disposition') ?? '')?.[1] ?? null;
}

function handOver(blob: Blob, name: string): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  // The browser has taken hold of it by then.
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}
