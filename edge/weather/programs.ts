import { HOUR_MS } from '../cure/schedule.ts';
import { CodedError } from '../errors.ts';
import type { GivenForecast } from '../site/state/forecast.ts';
import type { SiteState } from '../site/state/site.ts';
import type { ForecastHours } from './hours.ts';
import { isKnown } from './onRecord.ts';

/** A forecast of the air does not change faster, and each one makes every joint's outlook anew. */
const BETWEEN_MINUTES = 10;
/** Of all programs together: as many as one every seven minutes. */
const A_DAY_MOST = 200;
const DAY_MS = 24 * HOUR_MS;

/** What became of a forecast: put on record, on record already, or left out as one before it was. */
export type Outcome = 'taken' | 'known' | 'leftOut';

export interface ForecastProgramsParts {
  readonly state: SiteState;
  /** What such programs gave in earlier runs, as far as it is known. */
  readonly earlier: readonly GivenForecast[];
  /** UTC ms. */
  readonly nowMs: () => number;
  /** On the monotonic clock, ms. */
  readonly monoMs: () => number;
  /** Puts a forecast on record. @throws CodedError where the site refuses it. */
  readonly say: (hours: ForecastHours, source: string, speaker: string) => Promise<void>;
}

interface Given {
  readonly speaker: string;
  readonly monoMs: number;
  /** Whether it was said since that another one came too soon. */
  told: boolean;
}

/** Takes what programs say of the weather, each of them seldom and all of them within bounds: none may fill the record. */
export class ForecastPrograms {
  readonly #parts: ForecastProgramsParts;
  /** Those of the last day, oldest first. */
  #given: Given[];
  #fullTold = false;

  constructor(parts: ForecastProgramsParts) {
    this.#parts = parts;
    const { earlier, nowMs, monoMs } = parts;
    // One of the future was given while the clock was ahead, nobody knows when.
    this.#given = earlier
      .filter(({ recordedMs }) => recordedMs <= nowMs())
      .map(({ by, recordedMs }) => ({ speaker: by.name, monoMs: monoMs() - (nowMs() - recordedMs), told: false }));
  }

  /** @throws CodedError `too-many` for the first one that comes too often; and what the site refuses. */
  async take(hours: ForecastHours, source: string, speaker: string): Promise<Outcome> {
    const { state, say, monoMs } = this.#parts;
    if (isKnown(state, hours, speaker)) return 'known';
    if (this.#isTooOften(speaker)) return 'leftOut';
    // Its place is taken before it is on record: another one may come meanwhile.
    const given = { speaker, monoMs: monoMs(), told: false };
    this.#given.push(given);
    try {
      await say(hours, source, speaker);
    } catch (fault) {
      this.#given = this.#given.filter((each) => each !== given);
      throw fault;
    }
    return 'taken';
  }

  #isTooOften(speaker: string): boolean {
    const nowMs = this.#parts.monoMs();
    this.#given = this.#given.filter(({ monoMs }) => nowMs - monoMs < DAY_MS);
    const last = this.#given.findLast((given) => given.speaker === speaker);
    if (last !== undefined && nowMs - last.monoMs < BETWEEN_MINUTES * 60_000) {
      if (last.told) return true;
      last.told = true;
      throw new CodedError(
        'too-many',
        `another forecast of "${speaker}" went on record less than ${BETWEEN_MINUTES} minutes ago; until then others are left out`,
      );
    }
    if (this.#given.length < A_DAY_MOST) {
      this.#fullTold = false;
      return false;
    }
    if (this.#fullTold) return true;
    this.#fullTold = true;
    throw new CodedError(
      'too-many',
      `programs have given ${A_DAY_MOST} forecasts within a day; until it is over others are left out`,
    );
  }
}
