import { type Spans, waitMs } from '../relay/backOff.ts';
import { reasonOf } from '../relay/reason.ts';
import { iso } from '../site/views/iso.ts';
import { textOf } from './body.ts';
import { forecastFrom } from './document.ts';
import { type ForecastHours, isNoNews, type ReceivedForecast } from './hours.ts';
import { maskOf } from './mask.ts';
import { type ForecastShape, shapedForecast } from './shape.ts';
import { UnusableForecast } from './unusable.ts';

/** Where forecasts are fetched. Address and header may hold keys: only the host is ever shown. */
export interface ForecastSettings {
  readonly url: string;
  /** Null: the answer is in our own form. */
  readonly shape: ForecastShape | null;
  readonly header: { readonly name: string; readonly value: string } | null;
}

/** How the last try went. */
export interface FetchStatus {
  /** The host alone. */
  readonly url: string;
  readonly everyMinutes: number;
  /** Null: not yet. */
  readonly triedAt: string | null;
  /** Whether the last try brought a forecast that can be used. */
  readonly ok: boolean;
  /** Why it did not, in words. */
  readonly detail: string | null;
}

/** What it needs of the machine and of the site; handed in, so that tests need no time. */
export interface ForecastFetchParts {
  readonly settings: ForecastSettings;
  readonly fetch: typeof globalThis.fetch;
  /** Resolves after `ms`, or at once when the signal aborts. */
  readonly sleep: (ms: number, signal: AbortSignal) => Promise<void>;
  /** From 0 up to 1. */
  readonly chance: () => number;
  /** UTC ms. */
  readonly nowMs: () => number;
  /** Puts a forecast on record; its source is the host, whatever the answer calls itself: that may hold the key. */
  readonly give: (hours: ForecastHours, source: string) => Promise<unknown>;
  /** What it gave last, in an earlier run; null: nothing that is known. */
  readonly given: ForecastHours | null;
  readonly log: (line: string) => void;
  /** A source that has not answered in full by then is given up for this time; 20 s unless told otherwise. */
  readonly answerMs?: number;
}

const MINUTE_MS = 60_000;
const EVERY_MINUTES = 60;
/** So much earlier or later, ms, that many sites do not ask at once. */
const JITTER_MS = 5 * MINUTE_MS;
const AFTER_FAILURE: Spans = { firstMs: 2 * MINUTE_MS, longestMs: EVERY_MINUTES * MINUTE_MS };
const ANSWER_MS = 20_000;
const BODY_BYTES_MOST = 2 * 1024 * 1024;
/** The hour that is running counts too. */
const PAST_MS = 60 * MINUTE_MS;
const TOLD_MOST = 300;

/** Fetches a forecast every hour and puts it on record when it says something new. Nothing ever waits for it. */
export class ForecastFetch {
  readonly #parts: ForecastFetchParts;
  readonly #host: string;
  readonly #masked: (text: string) => string;
  readonly #stopping = new AbortController();
  #running: Promise<void> = Promise.resolve();
  #given: ForecastHours | null;
  #status: FetchStatus;
  #failures = 0;

  static start(parts: ForecastFetchParts): ForecastFetch {
    const fetching = new ForecastFetch(parts);
    fetching.#running = fetching.#run();
    return fetching;
  }

  private constructor(parts: ForecastFetchParts) {
    this.#parts = parts;
    this.#host = new URL(parts.settings.url).host;
    this.#masked = maskOf(parts.settings);
    this.#given = parts.given;
    this.#status = { url: this.#host, everyMinutes: EVERY_MINUTES, triedAt: null, ok: false, detail: null };
  }

  status(): FetchStatus {
    return this.#status;
  }

  /** Gives up what is under way. */
  async stop(): Promise<void> {
    this.#stopping.abort();
    await this.#running;
  }

  async #run(): Promise<void> {
    const { sleep } = this.#parts;
    while (!this.#stopping.signal.aborted) await sleep(await this.#pass(), this.#stopping.signal);
  }

  /** Fetches once. Returns how long to wait then, ms. */
  async #pass(): Promise<number> {
    const { chance, nowMs, log } = this.#parts;
    const triedAt = iso(nowMs());
    const detail = await this.#fetched().then(
      () => null,
      (fault: unknown) => this.#told(fault),
    );
    if (this.#stopping.signal.aborted) return 0;
    const before = this.#status.detail;
    this.#status = { ...this.#status, triedAt, ok: detail === null, detail };
    if (detail === null) {
      if (before !== null) log(`FORECAST: ${this.#host} gives a forecast again`);
      this.#failures = 0;
      return EVERY_MINUTES * MINUTE_MS + Math.floor((2 * chance() - 1) * JITTER_MS);
    }
    if (detail !== before) log(`FORECAST: ${this.#host} gives no forecast that can be used (${detail})`);
    this.#failures++;
    return waitMs(this.#failures, chance(), AFTER_FAILURE);
  }

  async #fetched(): Promise<void> {
    const { nowMs, give } = this.#parts;
    const { hours } = this.#forecastIn(await this.#answer());
    const fromMs = nowMs() - PAST_MS;
    const ahead = hours.filter(({ at }) => Date.parse(at) >= fromMs);
    if (ahead.length < 2) throw new Error('fewer than two of its hours are still to come');
    if (this.#given !== null && isNoNews(ahead, this.#given)) return;
    await give(ahead, this.#host);
    this.#given = ahead;
  }

  async #answer(): Promise<string> {
    const { settings, fetch, answerMs = ANSWER_MS } = this.#parts;
    const { url, header } = settings;
    const late = AbortSignal.timeout(answerMs);
    try {
      const response = await fetch(url, {
        headers: { accept: 'application/json', ...(header === null ? {} : { [header.name]: header.value }) },
        redirect: 'manual',
        signal: AbortSignal.any([late, this.#stopping.signal]),
      });
      if (response.ok) return await textOf(response, BODY_BYTES_MOST);
      await response.body?.cancel();
      const redirected = response.status >= 300 && response.status < 400 ? '; set the address that it redirects to' : '';
      throw new Error(`it answers ${response.status}${redirected}`);
    } catch (fault) {
      throw late.aborted ? new Error(`no answer within ${answerMs / 1000} s`) : fault;
    }
  }

  #forecastIn(text: string): ReceivedForecast {
    const { shape } = this.#parts.settings;
    return shape === null ? forecastFrom(text, 'json', this.#host) : shapedForecast(shape, text, this.#host);
  }

  /** What went wrong, without the keys that an answer may repeat: of what stands in it not a word is told. */
  #told(fault: unknown): string {
    if (fault instanceof UnusableForecast) return fault.plain.slice(0, TOLD_MOST);
    return this.#masked(reasonOf(fault).replace(/\s+/g, ' ')).slice(0, TOLD_MOST);
  }
}
