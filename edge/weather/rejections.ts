import type { RejectedRow } from '../intake/csvRows.ts';

/** So many are named; the rest are counted. */
export const REJECTED_KEPT = 100;

/** A row that does not count, or of which a part does not, and why, said in two ways. */
export interface Rejection extends RejectedRow {
  /** Without a word of what stands in it: an answer may repeat the key that it was asked with. */
  readonly plain: string;
}

/** The rows of a forecast that cannot be used: the first of them by name, the rest by number. */
export class Rejections {
  readonly #first: Rejection[] = [];
  #total = 0;

  /** `plain` is asked for only when the row is named. */
  add(line: number, reason: string, plain: () => string): void {
    this.#total++;
    if (this.#first.length < REJECTED_KEPT) this.#first.push({ line, reason, plain: plain() });
  }

  /** In the order of the lines. */
  get first(): readonly Rejection[] {
    return this.#first.toSorted((a, b) => a.line - b.line);
  }

  get total(): number {
    return this.#total;
  }
}
