import type { Clock, Now } from '../../edge/clock/clock.ts';

/** A clock that stands still until it is moved. */
export class HandClock implements Clock {
  readonly bootId: string;
  trusted = true;
  #now: Now;

  constructor(wallMs: number, bootId = crypto.randomUUID()) {
    this.bootId = bootId;
    this.#now = { wallMs, monoMs: 0 };
  }

  now(): Now {
    return this.#now;
  }

  advance(ms: number): void {
    this.#now = { wallMs: this.#now.wallMs + ms, monoMs: this.#now.monoMs + ms };
  }

  /** Somebody sets the wall clock; no time passes. */
  setBy(ms: number): void {
    this.#now = { ...this.#now, wallMs: this.#now.wallMs + ms };
  }
}
