import { signal } from '@preact/signals';
import type { Problem } from '../../api/call.ts';
import { savePacket } from './savePacket.ts';

/** The packet on its way, or what became of the last one. Null: none was asked for. */
export type Packet =
  | { readonly state: 'going'; readonly name: string; readonly bytes: number }
  | { readonly state: 'saved'; readonly name: string; readonly bytes: number }
  | { readonly state: 'stopped' | 'broken' }
  | { readonly state: 'refused'; readonly problem: Problem };

export const packet = signal<Packet | null>(null);
let stop: AbortController | null = null;

/** Fetches a packet and has it saved. `name` stands for it while it is made. One at a time: a new one stops the one before. */
export async function fetchPacket(path: string, name: string): Promise<void> {
  stop?.abort();
  const own = new AbortController();
  stop = own;
  packet.value = { state: 'going', name, bytes: 0 };
  const saved = await savePacket(path, own.signal, (bytes) => {
    if (stop === own) packet.value = { state: 'going', name, bytes };
  });
  if (stop !== own) return;
  stop = null;
  if (saved.kind === 'saved') packet.value = { state: 'saved', name: saved.name, bytes: saved.bytes };
  else packet.value = saved.kind === 'refused' ? { state: 'refused', problem: saved.problem } : { state: saved.kind };
}

export function stopPacket(): void {
  stop?.abort();
}
