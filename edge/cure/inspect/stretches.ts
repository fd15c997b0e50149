import type { Episode, EpisodeKind } from './episode.ts';
import type { Watch } from './watch.ts';

/**
 * Stretches of one kind at one place that lie no further apart are one episode: a value that trembles about a limit is one thing
 * to look at, not fifty. Our own choice, no source.
 */
export const MERGE_MS = 30 * 60_000;

/** Gathers the stretches of one kind, at one probe or pair or joint, into episodes. */
export class Stretches {
  readonly episodes: Episode[] = [];
  readonly #kind: EpisodeKind;
  readonly #probes: readonly string[];
  readonly #watch: Watch;
  #worst = 0;

  constructor(kind: EpisodeKind, probes: readonly string[], watch: Watch) {
    this.#kind = kind;
    this.#probes = probes;
    this.#watch = watch;
  }

  /**
   * Adds a stretch, in order of `fromMs`; `toMs` null: still going on. An episode keeps the `numbers` of its worst stretch, the
   * first of equals, but the counts of all.
   */
  add(fromMs: number, toMs: number | null, severity: number, numbers: Readonly<Record<string, number>>): void {
    const last = this.episodes.at(-1);
    if (last !== undefined && last.toMs !== null && fromMs - last.toMs <= MERGE_MS) {
      const worst = severity > this.#worst ? numbers : last.numbers;
      const counted = 'count' in numbers ? { count: (last.numbers.count ?? 0) + (numbers.count ?? 0) } : {};
      this.#worst = Math.max(severity, this.#worst);
      this.episodes[this.episodes.length - 1] = this.#episode(last.fromMs, toMs, { ...worst, ...counted });
      return;
    }
    this.#worst = severity;
    this.episodes.push(this.#episode(fromMs, toMs, numbers));
  }

  #episode(fromMs: number, toMs: number | null, numbers: Readonly<Record<string, number>>): Episode {
    const spanMs = (toMs ?? this.#watch.endMs) - fromMs;
    return { kind: this.#kind, probes: this.#probes, fromMs, toMs, numbers: { ...numbers, spanMs } };
  }
}
