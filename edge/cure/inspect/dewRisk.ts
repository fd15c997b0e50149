import { DEW_MARGIN_MILLI_C, dewPointMilliC } from '../dewPoint.ts';
import type { Episode } from './episode.ts';
import { Stretches } from './stretches.ts';
import { cut, type Track } from './track.ts';
import { endOf, type Watch, type WatchedSeries } from './watch.ts';

/** How long a surface without a gel stage on its schedule has to stay dry after the last ply or pour. Our own choice, no source. */
export const DRY_AFTER_START_MS = 3_600_000;

/**
 * A surface less than the margin above the dew point of the air, while the joint is being laid up and until it has gelled. Air and
 * surface have to be live both; between two readings the colder surface and the warmer, moister air of the two count, since
 * nobody saw which of them met.
 */
export function dewRisk(watch: Watch): Episode[] {
  const untilMs = dryUntilMs(watch);
  return watch.ambients.flatMap((ambient) => new Dew(watch, ambient, untilMs).episodes());
}

function dryUntilMs({ spec, endMs }: Watch): number {
  if (spec.gelMs !== null) return Math.min(spec.gelMs, endMs);
  if (spec.hasGelStage || spec.startMs === null) return endMs;
  return Math.min(spec.startMs + DRY_AFTER_START_MS, endMs);
}

/** One quantity on its way through time. */
class Live {
  readonly #track: Track;
  readonly #gapLimitMs: number;
  /** The next reading. */
  #head: number;

  constructor(track: Track, gapLimitMs: number) {
    this.#track = track;
    this.#gapLimitMs = gapLimitMs;
    this.#head = track.first;
  }

  nextMs(): number {
    return this.#head < this.#track.end ? (this.#track.atMs[this.#head] as number) : Number.POSITIVE_INFINITY;
  }

  passTo(atMs: number): void {
    while (this.nextMs() <= atMs) this.#head++;
  }

  /** The lower (or higher) of the readings on either side of `atMs`; null without one within the gap limit before it. */
  around(atMs: number, lower: boolean): number | null {
    const held = this.#head - 1;
    if (held < this.#track.first) return null;
    const heldMs = this.#track.atMs[held] as number;
    if (atMs - heldMs > this.#gapLimitMs) return null;
    const value = this.#track.values[held] as number;
    if (this.nextMs() - heldMs > this.#gapLimitMs) return value;
    const next = this.#track.values[this.#head] as number;
    return lower ? Math.min(value, next) : Math.max(value, next);
  }
}

/** The walk along the surfaces and the air of one ambient probe. */
class Dew {
  readonly #watch: Watch;
  readonly #untilMs: number;
  readonly #surfaces: readonly Live[];
  readonly #air: Live;
  readonly #humidity: Live;
  readonly #stretches: Stretches;
  #airMilliC = Number.NaN;
  #humidityMilliPercent = Number.NaN;
  #dewPointMilliC: number | null = null;
  #fromMs: number | null = null;
  #lastMs = 0;
  #worst: Record<string, number> = {};
  #leastMarginMilliC = 0;

  constructor(watch: Watch, ambient: WatchedSeries, untilMs: number) {
    const live = (track: Track) => new Live(cut(track, watch.spec.openMs, untilMs), watch.spec.gapLimitMs);
    this.#watch = watch;
    this.#untilMs = untilMs;
    this.#surfaces = watch.materials.map((material) => live(material.temperature));
    this.#air = live(ambient.temperature);
    this.#humidity = live(ambient.humidity);
    this.#stretches = new Stretches('dew-risk', [], watch);
  }

  episodes(): Episode[] {
    for (let atMs = this.#nextMs(); atMs < Number.POSITIVE_INFINITY; atMs = this.#nextMs()) {
      // A silence of all of them ends what was going on before it.
      if (atMs - this.#lastMs > this.#watch.spec.gapLimitMs) this.#close(this.#lastMs);
      for (const surface of this.#surfaces) surface.passTo(atMs);
      this.#air.passTo(atMs);
      this.#humidity.passTo(atMs);
      this.#look(atMs);
    }
    this.#close(endOf(this.#watch, this.#lastMs, this.#untilMs === this.#watch.endMs));
    return this.#stretches.episodes;
  }

  #nextMs(): number {
    let nextMs = Math.min(this.#air.nextMs(), this.#humidity.nextMs());
    for (const surface of this.#surfaces) nextMs = Math.min(nextMs, surface.nextMs());
    return nextMs;
  }

  #look(atMs: number): void {
    const dewPointMilliC = this.#dewPointAt(atMs);
    const surfaceMilliC = this.#surfaceAt(atMs);
    if (dewPointMilliC === null || surfaceMilliC === null) {
      this.#close(this.#lastMs);
      return;
    }
    const marginMilliC = surfaceMilliC - dewPointMilliC;
    if (marginMilliC >= DEW_MARGIN_MILLI_C) {
      this.#close(atMs);
      return;
    }
    if (this.#fromMs === null || marginMilliC < this.#leastMarginMilliC) {
      this.#leastMarginMilliC = marginMilliC;
      this.#worst = {
        leastMarginMilliC: marginMilliC,
        surfaceMilliC,
        dewPointMilliC,
        ambientMilliC: this.#airMilliC,
        humidityMilliPercent: this.#humidityMilliPercent,
      };
    }
    this.#fromMs ??= atMs;
    this.#lastMs = atMs;
  }

  #surfaceAt(atMs: number): number | null {
    let coldestMilliC: number | null = null;
    for (const surface of this.#surfaces) {
      const milliC = surface.around(atMs, true);
      if (milliC !== null && (coldestMilliC === null || milliC < coldestMilliC)) coldestMilliC = milliC;
    }
    return coldestMilliC;
  }

  #dewPointAt(atMs: number): number | null {
    const airMilliC = this.#air.around(atMs, false);
    const humidityMilliPercent = this.#humidity.around(atMs, false);
    if (airMilliC === null || humidityMilliPercent === null) return null;
    if (airMilliC !== this.#airMilliC || humidityMilliPercent !== this.#humidityMilliPercent) {
      this.#airMilliC = airMilliC;
      this.#humidityMilliPercent = humidityMilliPercent;
      // A wet humidity sensor may read well above 100 %. That is no measure, but the last thing to be silent about here.
      this.#dewPointMilliC = dewPointMilliC(airMilliC, Math.min(humidityMilliPercent, 100_000));
    }
    return this.#dewPointMilliC;
  }

  #close(toMs: number | null): void {
    if (this.#fromMs !== null) this.#stretches.add(this.#fromMs, toMs, -this.#leastMarginMilliC, this.#worst);
    this.#fromMs = null;
  }
}
