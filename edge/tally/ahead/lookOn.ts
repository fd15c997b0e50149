import type { Outlooks } from './outlooks.ts';

/** Between two rounds while some joints wait for theirs. */
const AGAIN_MS = 100;

/** Goes on looking ahead, round by round, while there are joints that nobody has looked at since something was said. */
export class LookOn {
  readonly #outlooks: Outlooks;
  readonly #onLooked: (joints: readonly string[]) => void;
  #timer: NodeJS.Timeout | null = null;

  /** `onLooked` is told which joints were looked at in each round. */
  constructor(outlooks: Outlooks, onLooked: (joints: readonly string[]) => void) {
    this.#outlooks = outlooks;
    this.#onLooked = onLooked;
  }

  /** To be called when something may have been left to look at. */
  wake(): void {
    if (this.#timer !== null || !this.#outlooks.isBehind) return;
    this.#timer = setTimeout(() => {
      this.#timer = null;
      this.#onLooked(this.#outlooks.round());
      this.wake();
    }, AGAIN_MS);
  }

  stop(): void {
    if (this.#timer !== null) clearTimeout(this.#timer);
    this.#timer = null;
  }
}
