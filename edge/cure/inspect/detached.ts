import type { Episode } from './episode.ts';
import { walkPair } from './pair.ts';
import { Stretches } from './stretches.ts';
import { endOf, sinceStart, type Watch, type WatchedSeries } from './watch.ts';

// Our own choices, no source. A joint follows the air with a lag of hours: at 0.5 °C an hour, the least that moves the air by
// 3 °C within two windows, one with a time constant of 2.5 h stays 1.25 °C behind, twice what is allowed here.
export const DETACHED_WITHIN_MILLI_C = 600;
export const DETACHED_MOVED_MILLI_C = 3000;
/** The air must have moved within one window, or two neighbouring ones: over days a joint does follow it. */
export const DETACHED_WINDOW_MS = 3 * 3_600_000;

/** A material probe that shows the temperature of the air while that moves: it hangs beside the joint, not on it. */
export function detached(watch: Watch): Episode[] {
  return watch.materials.flatMap((material) => watch.ambients.flatMap((ambient) => follows(watch, material, ambient)));
}

function follows(watch: Watch, material: WatchedSeries, ambient: WatchedSeries): Episode[] {
  const stretches = new Stretches('detached', [material.probe], watch);
  const follow = new Following();
  const close = (newest: boolean) => {
    const { fromMs, lastMs, movedMilliC, widestMilliC } = follow;
    if (fromMs !== null && lastMs - fromMs >= DETACHED_WINDOW_MS && movedMilliC >= DETACHED_MOVED_MILLI_C) {
      const numbers = { ambientMovedMilliC: movedMilliC, apartMilliC: widestMilliC };
      stretches.add(fromMs, endOf(watch, lastMs, newest), movedMilliC, numbers);
    }
    follow.fromMs = null;
  };
  const isLive = walkPair(
    sinceStart(watch, material.temperature),
    sinceStart(watch, ambient.temperature),
    watch.spec.gapLimitMs,
    (atMs, milliC, ambientMilliC, anew) => {
      if (anew) close(false);
      const apartMilliC = Math.abs(milliC - ambientMilliC);
      if (apartMilliC > DETACHED_WITHIN_MILLI_C) close(false);
      else follow.take(atMs, ambientMilliC, apartMilliC);
    },
  );
  close(isLive);
  return stretches.episodes;
}

/** How far the air moved while the probe kept to it. Windows count from the start of that time; two of them are remembered. */
class Following {
  fromMs: number | null = null;
  lastMs = 0;
  movedMilliC = 0;
  widestMilliC = 0;
  #windowMs = 0;
  #lowest = 0;
  #highest = 0;
  #lowestBefore = 0;
  #highestBefore = 0;

  take(atMs: number, ambientMilliC: number, apartMilliC: number): void {
    if (this.fromMs === null) {
      this.fromMs = atMs;
      this.movedMilliC = 0;
      this.widestMilliC = 0;
      this.#windowMs = atMs;
      this.#lowestBefore = this.#lowest = ambientMilliC;
      this.#highestBefore = this.#highest = ambientMilliC;
    }
    while (atMs - this.#windowMs >= DETACHED_WINDOW_MS) {
      this.#windowMs += DETACHED_WINDOW_MS;
      this.#lowestBefore = this.#lowest;
      this.#highestBefore = this.#highest;
      this.#lowest = ambientMilliC;
      this.#highest = ambientMilliC;
    }
    this.lastMs = atMs;
    this.#lowest = Math.min(this.#lowest, ambientMilliC);
    this.#highest = Math.max(this.#highest, ambientMilliC);
    const movedMilliC = Math.max(this.#highest, this.#highestBefore) - Math.min(this.#lowest, this.#lowestBefore);
    this.movedMilliC = Math.max(this.movedMilliC, movedMilliC);
    this.widestMilliC = Math.max(this.widestMilliC, apartMilliC);
  }
}
