import { signal } from '@preact/signals';
import type { JointView } from '../../edge/site/views/joint.ts';
import type { ProbeView } from '../../edge/site/views/probe.ts';
import type { SiteView } from '../../edge/site/views/site.ts';
import type { SumpView } from '../../edge/site/views/sump.ts';
import { call } from '../api/call.ts';
import { anchorClock, heardMs, now, silenceMs } from './clock.ts';
import { quarantined, recording, takeJoint, takeProbe, takeSite, takeSump, warnings } from './store.ts';

export type Link =
  | { readonly state: 'connecting' }
  | { readonly state: 'live' }
  /** `sinceMs`: when the server was last heard, by its own clock. */
  | { readonly state: 'lost'; readonly sinceMs: number };

export const link = signal<Link>({ state: 'connecting' });

/** The server beats every 5 s; two missed beats and a bit mean that nobody is there. */
const SILENCE_LIMIT_MS = 12_000;
const REOPEN_MS = 3000;
/** A connection attempt into the void can hang for minutes; after this long a new one is made. */
const ATTEMPT_LIMIT_MS = 20_000;

let openedMs = 0;
let source: EventSource | null = null;
let reopening: ReturnType<typeof setTimeout> | null = null;
let watching: ReturnType<typeof setInterval> | null = null;

export function openLink(): void {
  watching ??= setInterval(watch, 1000);
  reopen();
}

export function closeLink(): void {
  if (watching !== null) clearInterval(watching);
  watching = null;
  drop();
  link.value = { state: 'connecting' };
}

function drop(): void {
  if (reopening !== null) clearTimeout(reopening);
  reopening = null;
  source?.close();
  source = null;
}

function reopen(): void {
  drop();
  const opened = new EventSource('/api/live');
  source = opened;
  openedMs = performance.now();
  const on = <T>(name: string, take: (data: T) => void) =>
    opened.addEventListener(name, (event: MessageEvent<string>) => take(JSON.parse(event.data) as T));

  // Only a whole site makes the page live again: what came before the break may have changed meanwhile.
  on<SiteView>('site', (view) => {
    anchorClock(Date.parse(view.asOf));
    takeSite(view);
    link.value = { state: 'live' };
  });
  on<JointView>('joint', takeJoint);
  on<SumpView>('sump', takeSump);
  on<ProbeView>('probe', takeProbe);
  on<Pick<SiteView, 'warnings'>>('warnings', (news) => {
    warnings.value = news.warnings;
  });
  on<{ total: number }>('quarantine', ({ total }) => {
    quarantined.value = total;
  });
  on<{ asOf: string; recording: boolean }>('beat', (beat) => {
    anchorClock(Date.parse(beat.asOf));
    recording.value = beat.recording;
  });
  opened.onerror = () => {
    lose();
    // While it is CONNECTING the browser tries again by itself; CLOSED means that it was turned away.
    if (opened.readyState === EventSource.CLOSED) askWhy();
  };
}

/** A refused stream carries no status, so the session is asked; a 401 there leads to the sign-in page by itself. */
async function askWhy(): Promise<void> {
  const answer = await call('GET', '/api/session');
  if (!answer.ok && answer.problem.status === 401) return;
  reopenSoon();
}

function reopenSoon(): void {
  if (reopening === null && watching !== null) reopening = setTimeout(reopen, REOPEN_MS);
}

function lose(): void {
  if (link.value.state === 'live') link.value = { state: 'lost', sinceMs: heardMs() ?? now.value };
}

function watch(): void {
  const silent = link.value.state === 'live' && (silenceMs() ?? 0) > SILENCE_LIMIT_MS;
  const hanging = link.value.state !== 'live' && reopening === null && performance.now() - openedMs > ATTEMPT_LIMIT_MS;
  if (silent) lose();
  if (silent || hanging) reopen();
}

// A page taken out of the browser's back-and-forward store, or woken from sleep, looks at once.
addEventListener('pageshow', (event) => {
  if (event.persisted && watching !== null) {
    lose();
    reopen();
  }
});
document.addEventListener('visibilitychange', () => {
  if (!document.hidden && watching !== null) watch();
});
