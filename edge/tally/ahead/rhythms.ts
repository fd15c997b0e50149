/** Spans between readings that are remembered of a probe: the longest of them is its usual one. */
const SPANS = 4;

interface Heard {
  readonly sinceMonoMs: number;
  newestMs: number;
  readonly spansMs: number[];
}

/** How often each probe speaks, as far as this run of the program has heard it. */
export class Rhythms {
  readonly #monoMs: () => number;
  readonly #heard = new Map<string, Heard>();

  constructor(monoMs: () => number) {
    this.#monoMs = monoMs;
  }

  /** The longest of the last spans between two readings, ms, given when the newest was measured; null: none is known yet. */
  usualMs(probe: string, newestMs: number): number | null {
    const known = this.#heard.get(probe);
    if (known === undefined) {
      this.#heard.set(probe, { sinceMonoMs: this.#monoMs(), newestMs, spansMs: [] });
      return null;
    }
    if (newestMs > known.newestMs) known.spansMs.push(newestMs - known.newestMs);
    if (known.spansMs.length > SPANS) known.spansMs.shift();
    known.newestMs = newestMs;
    return known.spansMs.length === 0 ? null : Math.max(...known.spansMs);
  }

  /** For how long the probe has been watched in this run, ms. */
  watchedMs(probe: string): number {
    const known = this.#heard.get(probe);
    return known === undefined ? 0 : this.#monoMs() - known.sinceMonoMs;
  }
}
