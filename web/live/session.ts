import { signal } from '@preact/signals';
import { call, onSignedOut, type Problem } from '../api/call.ts';
import type { Session } from '../api/shapes.ts';
import { closeLink, openLink } from './link.ts';
import { forgetSite } from './store.ts';
import { dropOffer } from './undo.ts';

/** Who is signed in. `unknown` while we ask, `none` when somebody has to sign in. */
export const session = signal<Session | 'unknown' | 'none'>('unknown');

/** The server did not answer when we asked who is signed in. */
export const unreachable = signal(false);

const RETRY_MS = 3000;

/** Asks the server who is signed in and opens the live link when somebody is. Keeps asking until an answer comes. */
export async function resumeSession(): Promise<void> {
  const answer = await call<Session>('GET', '/api/session');
  if (answer.ok) return begin(answer.value);
  if (answer.problem.status === 401) return end();
  unreachable.value = true;
  setTimeout(resumeSession, RETRY_MS);
}

/** Null: signed in. Otherwise what was wrong. */
export async function signIn(name: string, token: string): Promise<Problem | null> {
  const answer = await call<Session>('POST', '/api/session', { name, token });
  if (!answer.ok) return answer.problem;
  begin(answer.value);
  return null;
}

export async function signOut(): Promise<Problem | null> {
  const answer = await call<null>('DELETE', '/api/session');
  if (!answer.ok && answer.problem.status !== 401) return answer.problem;
  end();
  return null;
}

/** May this person put things on record? */
export function mayWrite(): boolean {
  return typeof session.value === 'object' && session.value.role !== 'claims';
}

/** May this person take back a verdict of somebody? What others rest on, crew take back only where it is their own. */
export function mayTakeBack(by: string, role = 'crew'): boolean {
  const who = session.value;
  return mayWrite() && typeof who === 'object' && (who.role !== 'crew' || (role === 'crew' && who.name === by));
}

function begin(who: Session): void {
  unreachable.value = false;
  session.value = who;
  openLink();
}

function end(): void {
  unreachable.value = false;
  session.value = 'none';
  closeLink();
  forgetSite();
  dropOffer();
}

onSignedOut(end);
