import type { InspectedPiece } from './spec.ts';
import { endOf, type Watch } from './watch.ts';

/** A stretch of settled time. */
export interface Stretch {
  readonly fromMs: number;
  readonly toMs: number;
}

/** Visits the settled pieces from the last ply or pour to `untilMs`, cut to that time. */
export function eachPiece(
  { spec, endMs }: Watch,
  untilMs: number,
  visit: (piece: InspectedPiece, fromMs: number, toMs: number) => void,
): void {
  if (spec.startMs === null) return;
  const firstMs = Math.max(spec.startMs, spec.openMs);
  const lastMs = Math.min(untilMs, endMs);
  for (const piece of spec.pieces) {
    const fromMs = Math.max(piece.fromMs, firstMs);
    const toMs = Math.min(piece.toMs, lastMs);
    if (fromMs < toMs) visit(piece, fromMs, toMs);
  }
}

/** The pieces of one sort, added up. */
export interface SettledSum {
  readonly fromMs: number;
  /** Null: it goes on. */
  readonly toMs: number | null;
  readonly spanMs: number;
  /** The longest of it without a break. */
  readonly longestMs: number;
  /** The coldest governing temperature in it, m°C. */
  readonly milliC: number;
}

/** Sum of the pieces to `untilMs` that `counts`; null: none does. */
export function settledSum(watch: Watch, untilMs: number, counts: (piece: InspectedPiece) => boolean): SettledSum | null {
  let firstMs: number | null = null;
  let stretchMs = 0;
  let lastMs = 0;
  let settledMs = 0;
  let spanMs = 0;
  let longestMs = 0;
  let coldestMilliC = Number.POSITIVE_INFINITY;
  eachPiece(watch, untilMs, (piece, fromMs, toMs) => {
    settledMs = toMs;
    if (!counts(piece)) return;
    firstMs ??= fromMs;
    stretchMs = fromMs === lastMs ? stretchMs + toMs - fromMs : toMs - fromMs;
    longestMs = Math.max(longestMs, stretchMs);
    spanMs += toMs - fromMs;
    lastMs = toMs;
    coldestMilliC = Math.min(coldestMilliC, piece.milliC);
  });
  if (firstMs === null) return null;
  const toMs = endOf(watch, lastMs, lastMs === settledMs && untilMs >= watch.endMs);
  return { fromMs: firstMs, toMs, spanMs, longestMs, milliC: coldestMilliC };
}
