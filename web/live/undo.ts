import { signal } from '@preact/signals';
import { call, type Problem } from '../api/call.ts';
import { putOnRecord } from '../api/record.ts';
import type { History } from '../api/shapes.ts';
import { text } from '../text/text.ts';

/** What somebody has just put on record here and may still undo. */
interface Offer {
  /** Null: it is about a sump or the whole site. */
  readonly joint: string | null;
  /** The entry's place in the ledger. */
  readonly seq: number;
  /** In words: who meant another joint has to see it. */
  readonly what: string;
  readonly state: 'offered' | 'undoing' | 'undone' | 'failed';
  /** Why it could not be undone. */
  readonly problem: Problem | null;
}

const OFFERED_MS = 60_000;
const UNDONE_MS = 10_000;

/** One at a time: the newest. */
export const offer = signal<Offer | null>(null);

let leaving: ReturnType<typeof setTimeout> | null = null;

/** `forMs` null: until somebody does something about it. */
function show(next: Offer | null, forMs: number | null): void {
  if (leaving !== null) clearTimeout(leaving);
  leaving = forMs === null ? null : setTimeout(dropOffer, forMs);
  offer.value = next;
}

export function dropOffer(): void {
  show(null, null);
}

export function offerUndo(joint: string | null, seq: number, what: string): void {
  show({ joint, seq, what, state: 'offered', problem: null }, OFFERED_MS);
}

/** The entry was taken back by another way. */
export function dropOfferOf(seq: number): void {
  if (offer.peek()?.seq === seq) dropOffer();
}

/** Takes back what is offered. What fails stays on show until it succeeds, is put aside, or something else is put on record. */
export async function undo(): Promise<void> {
  const asked = offer.peek();
  if (asked === null || asked.state === 'undoing' || asked.state === 'undone') return;
  show({ ...asked, state: 'undoing', problem: null }, null);
  const answer = await putOnRecord({ kind: 'entry.withdrawn', seq: asked.seq, reason: text.recorded.undoReason });
  const problem = answer.ok || (await wasUndoneBefore(asked, answer.problem)) ? null : answer.problem;
  const present = offer.peek();
  // Somebody signed out meanwhile.
  if (present === null) return;
  if (problem !== null) show({ ...asked, state: 'failed', problem }, null);
  else if (present.seq === asked.seq) show({ ...asked, state: 'undone', problem: null }, UNDONE_MS);
}

/** An undo whose answer was lost is refused when it is repeated; then the record itself tells that it came through. */
async function wasUndoneBefore({ joint, seq }: Offer, { code }: Problem): Promise<boolean> {
  if (code !== 'entry-refused' || joint === null) return false;
  const answer = await call<History>('GET', `/api/joints/${encodeURIComponent(joint)}/history?points=2`);
  return answer.ok && answer.value.events.some((event) => event.seq === seq && event.withdrawn !== null);
}
