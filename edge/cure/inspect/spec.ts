/** What one probe sent while it belonged to the joint. All instants are UTC ms, in time order. */
export interface InspectedSeries {
  readonly probe: string;
  readonly role: 'material' | 'ambient';
  /** A digital sensor, which has a value of its own for "just switched on". */
  readonly digital: boolean;
  /** What a digital sensor's power-on value reads after calibration. Left out: the bare value, see powerOn.ts. */
  readonly sentinelMilliC?: number;
  /** Calibrated values, no guard band taken off. */
  readonly temperature: { readonly atMs: ArrayLike<number>; readonly milliC: ArrayLike<number> };
  readonly humidity: { readonly atMs: ArrayLike<number>; readonly milliPercent: ArrayLike<number> };
  readonly batteryPercent: { readonly atMs: ArrayLike<number>; readonly milliPercent: ArrayLike<number> };
  readonly batteryVolts: { readonly atMs: ArrayLike<number>; readonly milliVolts: ArrayLike<number> };
  /** Readings that could not be turned into a temperature: their instants. */
  readonly offCurveMs: ArrayLike<number>;
  /** Null: nobody said below which voltage this probe's battery is low. */
  readonly batteryLowMilliVolts: number | null;
}

/** A settled stretch of the joint's fold, see `Piece` in ../fold.ts. */
export interface InspectedPiece {
  readonly fromMs: number;
  readonly toMs: number;
  readonly ratePpm: number;
  /** The governing lane, −1 where none was live. */
  readonly lane: number;
  /** The governing temperature with the guard band taken off; means something where `lane` ≥ 0. */
  readonly milliC: number;
  readonly uncredited: 'cold' | 'unproven' | null;
}

/** One attempt at a joint: its readings, its settled time, and the limits of its schedule. */
export interface InspectSpec {
  /** Where the watch begins: the first preparation, mix or lay-up of this attempt. */
  readonly openMs: number;
  /** The last ply or pour; null before it. */
  readonly startMs: number | null;
  /** When gel was reached; null: not yet, or no such stage is known. */
  readonly gelMs: number | null;
  readonly hasGelStage: boolean;
  /** When the last stage was reached; null: not yet. Nothing after it matters. */
  readonly doneMs: number | null;
  readonly nowMs: number;
  readonly gapLimitMs: number;
  readonly floorMilliC: number;
  /** Longer than `toleratedMs` in all below it, and the cure needs a proof; null: the schedule does not say. */
  readonly proofBelow: { readonly milliC: number; readonly toleratedMs: number } | null;
  readonly hotAboveMilliC: number | null;
  /** In any order. */
  readonly series: readonly InspectedSeries[];
  /** In time order. */
  readonly pieces: readonly InspectedPiece[];
}
