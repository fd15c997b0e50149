/** What an exception in a joint's readings can be. The first three come from the settled time of its fold, the others from readings. */
export type EpisodeKind =
  | 'gap'
  | 'cold-before-gel'
  | 'below-proof'
  | 'hot-joint'
  | 'frozen'
  | 'jump'
  | 'sentinel'
  | 'apart'
  | 'detached'
  | 'battery-low'
  | 'off-curve'
  | 'dew-risk';

/** An exception that somebody has to look at: what, where, when, and the figures that show it. */
export interface Episode {
  readonly kind: EpisodeKind;
  /** The probe(s) concerned; empty for a whole joint. */
  readonly probes: readonly string[];
  readonly fromMs: number;
  /** The last instant that shows it, or the first that speaks against it where that is known better; null: still going on. */
  readonly toMs: number | null;
  /** Evidence as whole numbers with their unit in the key: spanMs, milliC, ambientMilliC, dewPointMilliC … */
  readonly numbers: Readonly<Record<string, number>>;
}
