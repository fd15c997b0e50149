import { POWER_ON_MILLI_C } from '../cure/inspect/powerOn.ts';
import type { TakenColumns } from '../keeper/batch.ts';
import type { Readings } from '../ledger/readings.ts';
import { countedOf } from '../site/feed.ts';
import { AHEAD_LIMIT_MS } from '../site/mistimed.ts';
import type { SiteState } from '../site/state/site.ts';
import type { Latest, LatestOfAll } from '../site/views/governing.ts';
import type { LatestOfProbe } from '../site/views/probe.ts';
import { HUMIDITY, LEVEL, RESISTANCE, TEMPERATURE } from './values.ts';

/** As it was stored. */
interface Stored {
  readonly atMs: number;
  readonly value: number;
}

const SHOWN = [TEMPERATURE, HUMIDITY, RESISTANCE, LEVEL];

/** No gap limit is longer, so that an older value proves nothing now. */
const LOOK_BACK_MS = 4 * 3_600_000;

/** The newest value of every probe and quantity that is shown. */
export class LatestValues {
  readonly #site: SiteState;
  readonly #byQuantity = new Map<number, Map<string, Stored>>(SHOWN.map((quantity) => [quantity, new Map()]));
  readonly #heard = new Set<string>();

  constructor(site: SiteState, readings: Pick<Readings, 'latest' | 'range'>) {
    this.#site = site;
    const stored = readings.latest();
    for (const { probe, quantity, atMs, value } of stored) {
      this.#put(probe, quantity, { atMs, value }, Number.POSITIVE_INFINITY);
      if (quantity !== TEMPERATURE || value !== POWER_ON_MILLI_C) continue;
      // The newest says nothing: what counts is the one before it.
      const before = readings.range(probe, quantity, atMs - LOOK_BACK_MS, atMs);
      const row = before.value.findLastIndex((milliC) => milliC !== POWER_ON_MILLI_C);
      if (row >= 0)
        this.#put(
          probe,
          quantity,
          { atMs: before.atMs[row] as number, value: before.value[row] as number },
          Number.POSITIVE_INFINITY,
        );
    }
  }

  /** Takes readings that have just been committed. Returns the probes that showed something, and whether one of them is new. */
  take({ names, probe, quantity, atMs, value }: TakenColumns, nowMs: number): { probes: Set<string>; isAnyNew: boolean } {
    const probes = new Set<string>();
    let isAnyNew = false;
    for (let row = 0; row < probe.length; row++) {
      const name = names[probe[row] as number] as string;
      const code = quantity[row] as number;
      const heard = this.#heard.size;
      if (this.#put(name, code, { atMs: atMs[row] as number, value: value[row] as number }, nowMs)) probes.add(name);
      if (this.#heard.size > heard) isAnyNew = true;
    }
    return { probes, isAnyNew };
  }

  /** What was stamped by a clock that ran far ahead must not outlive it. */
  forgetAhead(nowMs: number): void {
    for (const values of this.#byQuantity.values())
      for (const [probe, { atMs }] of values) if (atMs > nowMs + AHEAD_LIMIT_MS) values.delete(probe);
  }

  hasHeard(probe: string): boolean {
    return this.#heard.has(probe);
  }

  /** Everybody who was ever heard, in the order of first hearing. */
  heard(): Iterable<string> {
    return this.#heard;
  }

  ofProbe(probe: string): LatestOfProbe {
    return {
      temperature: this.#temperature(probe),
      humidity: this.#plain(HUMIDITY, probe),
      level: this.#plain(LEVEL, probe),
      resistance: this.#plain(RESISTANCE, probe),
    };
  }

  of(probes: readonly string[]): LatestOfAll {
    const temperature = new Map<string, Latest>();
    const humidity = new Map<string, Latest>();
    for (const probe of probes) {
      const own = this.ofProbe(probe);
      if (own.temperature !== undefined) temperature.set(probe, own.temperature);
      if (own.humidity !== undefined) humidity.set(probe, own.humidity);
    }
    return { temperature, humidity };
  }

  #put(probe: string, quantity: number, stored: Stored, nowMs: number): boolean {
    const values = this.#byQuantity.get(quantity);
    if (values === undefined) return false;
    this.#heard.add(probe);
    // A sensor that has just been switched on has measured nothing yet.
    if (quantity === TEMPERATURE && stored.value === POWER_ON_MILLI_C) return true;
    const known = values.get(probe);
    if (known === undefined || stored.atMs >= known.atMs || known.atMs > nowMs + AHEAD_LIMIT_MS) values.set(probe, stored);
    return true;
  }

  /** As the probe's present settings make it; of a stranger as it came. */
  #temperature(probe: string): Latest | undefined {
    const settings = this.#site.probes.get(probe)?.settings.at(-1);
    const isDigital = settings === undefined || settings.sensor.kind === 'digital';
    const stored = this.#byQuantity.get(isDigital ? TEMPERATURE : RESISTANCE)?.get(probe);
    if (stored === undefined) return undefined;
    if (settings === undefined) return { atMs: stored.atMs, milliC: stored.value };
    const { sensor, calibration } = settings;
    const milliC = countedOf({ quantity: isDigital ? 'temperature' : 'resistance', sensor, calibration }, stored.value);
    return milliC === null ? undefined : { atMs: stored.atMs, milliC };
  }

  #plain(quantity: number, probe: string): Latest | undefined {
    const stored = this.#byQuantity.get(quantity)?.get(probe);
    return stored === undefined ? undefined : { atMs: stored.atMs, milliC: stored.value };
  }
}
