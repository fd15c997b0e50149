/** Sleeps that end when the test says so. */
export class HandTime {
  /** Every sleep that was asked for, ms. */
  readonly slept: number[] = [];
  #end: (() => void) | null = null;
  #begun = Promise.withResolvers<void>();

  readonly sleep = (ms: number, signal: AbortSignal): Promise<void> => {
    this.slept.push(ms);
    const { promise, resolve } = Promise.withResolvers<void>();
    this.#end = resolve;
    if (signal.aborted) resolve();
    signal.addEventListener('abort', () => resolve(), { once: true });
    this.#begun.resolve();
    this.#begun = Promise.withResolvers();
    return promise;
  };

  /** Resolves when the next sleep begins. */
  asleep(): Promise<void> {
    return this.#begun.promise;
  }

  /** Ends the sleep that is on, and resolves when the next one begins. */
  async pass(): Promise<void> {
    const next = this.asleep();
    this.#end?.();
    await next;
  }
}
