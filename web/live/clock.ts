import { signal } from '@preact/signals';

interface Anchor {
  readonly serverMs: number;
  readonly monotonicMs: number;
  readonly wallMs: number;
}

let anchor: Anchor | null = null;

/** Takes the server's time from something it has just sent. Ages on the page count from this, not from the phone's own clock. */
export function anchorClock(serverMs: number): void {
  anchor = { serverMs, monotonicMs: performance.now(), wallMs: Date.now() };
  now.value = serverNowMs();
}

/** The server's time, UTC ms. Some phones stop their monotonic clock in sleep, so the longer of the two spans counts. */
export function serverNowMs(): number {
  if (anchor === null) return Date.now();
  return anchor.serverMs + sinceMs(anchor);
}

/** How long ago the server was last heard, ms; null before the first time. */
export function silenceMs(): number | null {
  return anchor === null ? null : sinceMs(anchor);
}

function sinceMs(from: Anchor): number {
  return Math.max(0, performance.now() - from.monotonicMs, Date.now() - from.wallMs);
}

/** When the server was last heard, by its own clock, UTC ms. */
export function heardMs(): number | null {
  return anchor === null ? null : anchor.serverMs;
}

/** The server's time, renewed every second. */
export const now = signal(Date.now());

const tick = () => {
  now.value = serverNowMs();
};
setInterval(tick, 1000);
document.addEventListener('visibilitychange', tick);
