/** What a verb may touch: two places to write lines to, and word of when to stop. */
export interface Io {
  readonly out: (line: string) => void;
  readonly err: (line: string) => void;
  readonly signal: AbortSignal;
}
