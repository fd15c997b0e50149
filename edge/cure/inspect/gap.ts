import type { Episode } from './episode.ts';
import { eachPiece } from './settled.ts';
import type { Watch } from './watch.ts';

/**
 * Silences: time after the last ply or pour that no probe proves, and the open silence since the last settled instant. Only what is
 * longer than the gap limit is an exception: shorter seams (up to the first reading after lay-up, or where a probe's settings
 * changed) earn nothing either, but say nothing about the watch that was kept. Neighbouring ones are one silence.
 */
export function gaps(watch: Watch): Episode[] {
  const { spec, endMs } = watch;
  if (spec.startMs === null) return [];
  const episodes: Episode[] = [];
  const add = (fromMs: number, toMs: number | null) => {
    const spanMs = (toMs ?? endMs) - fromMs;
    if (spanMs > spec.gapLimitMs) episodes.push({ kind: 'gap', probes: [], fromMs, toMs, numbers: { spanMs } });
  };

  let settledMs = Math.max(spec.startMs, spec.openMs);
  let silentFromMs: number | null = null;
  eachPiece(watch, endMs, (piece, fromMs, toMs) => {
    if (piece.uncredited === 'unproven') silentFromMs ??= fromMs;
    else if (silentFromMs !== null) {
      add(silentFromMs, fromMs);
      silentFromMs = null;
    }
    settledMs = toMs;
  });

  const isSilentNow = spec.doneMs === null && endMs - settledMs > spec.gapLimitMs;
  if (isSilentNow) add(silentFromMs ?? settledMs, null);
  else if (silentFromMs !== null) add(silentFromMs, settledMs);
  return episodes;
}
