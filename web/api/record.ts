import { signal } from '@preact/signals';
import { type Answered, call } from './call.ts';
import type { StatementSent } from './shapes.ts';

/** Where an entry came to stand in the ledger. */
export interface Recorded {
  readonly seq: number;
  readonly hash: string;
}

/** How many entries this page has put on record: whoever shows the record looks again when it grows. */
export const recordedCount = signal(0);

export async function putOnRecord(statement: StatementSent): Promise<Answered<Recorded>> {
  const answer = await call<Recorded>('POST', '/api/entries', statement);
  if (answer.ok) recordedCount.value++;
  return answer;
}
