import type { Episode } from './episode.ts';
import { walkPair } from './pair.ts';
import { Stretches } from './stretches.ts';
import { endOf, sinceStart, type Watch, type WatchedSeries } from './watch.ts';

// Our own choices, no source: sun on one side of a joint makes a few degrees, and the exotherm of a thick place passes.
export const APART_MILLI_C = 5000;
export const APART_MS = 3_600_000;

/** Two probes on one joint's material that show very different temperatures for long: one of them sits in the wrong place. */
export function apart(watch: Watch): Episode[] {
  return watch.materials.flatMap((a, index) => watch.materials.slice(index + 1).flatMap((b) => pairApart(watch, a, b)));
}

function pairApart(watch: Watch, a: WatchedSeries, b: WatchedSeries): Episode[] {
  const stretches = new Stretches('apart', [a.probe, b.probe], watch);
  let fromMs: number | null = null;
  let lastMs = 0;
  let widestMilliC = 0;
  const close = (newest: boolean) => {
    if (fromMs !== null && lastMs - fromMs >= APART_MS)
      stretches.add(fromMs, endOf(watch, lastMs, newest), widestMilliC, { apartMilliC: widestMilliC });
    fromMs = null;
  };
  const isLive = walkPair(
    sinceStart(watch, a.temperature),
    sinceStart(watch, b.temperature),
    watch.spec.gapLimitMs,
    (atMs, milliC, otherMilliC, anew) => {
      if (anew) close(false);
      const apartMilliC = Math.abs(milliC - otherMilliC);
      if (apartMilliC <= APART_MILLI_C) {
        close(false);
        return;
      }
      if (fromMs === null) {
        fromMs = atMs;
        widestMilliC = 0;
      }
      lastMs = atMs;
      widestMilliC = Math.max(widestMilliC, apartMilliC);
    },
  );
  close(isLive);
  return stretches.episodes;
}
