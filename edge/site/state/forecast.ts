import { type Forecast, NEAR_MS } from '../../cure/outlook/air.ts';
import type { Entry } from '../entries.ts';
import { type SiteState, type Subject, type Told, toldOf } from './site.ts';

/**
 * So many of the newest are kept: a program that fetches one every hour must not fill the memory. As many that were taken back are
 * kept beside them, so that taking some back makes nothing else fall out.
 */
export const FORECASTS_MOST = 150;

type ForecastGiven = Extract<Entry, { kind: 'forecast.given' }>;

/** Air to come, as somebody or some program said it. */
export interface GivenForecast extends Told {
  readonly source: string;
  readonly hours: Forecast;
}

/** Those that may be taken back: the newest ones, of whose hours only the first and the last are kept, as a list shows them. */
export type Forecasts = Subject<ForecastGiven>;

/** Takes in a forecast; the oldest one falls out, and can then not be taken back any more. */
export function giveForecast(site: SiteState, entry: ForecastGiven, seq: number): void {
  const { given } = site;
  const { hours, source } = entry;
  const [first] = hours;
  const last = hours.at(-1);
  if (first === undefined || last === undefined) throw new Error(`the forecast at ${seq} of the ledger has no hours`);
  given.said.set(seq, { ...entry, hours: [first, last] });
  site.forecasts.push({
    ...toldOf(seq, entry),
    source,
    hours: {
      atMs: hours.map(({ at }) => Date.parse(at)),
      milliC: hours.map(({ celsius }) => Math.round(celsius * 1000)),
      humidityMilliPercent: hours.map(({ humidity }) => (humidity === undefined ? null : Math.round(humidity * 1000))),
    },
  });
  site.rederive.set(seq, {
    subject: given as unknown as Subject<Entry>,
    derive: () => {
      site.forecasts = site.forecasts.filter((forecast) => forecast.seq !== seq);
    },
  });
  const seqs = [...given.said.keys()];
  const standing = seqs.filter((each) => !given.withdrawals.has(each));
  const takenBack = seqs.filter((each) => given.withdrawals.has(each));
  for (const old of [...standing.slice(0, -FORECASTS_MOST), ...takenBack.slice(0, -FORECASTS_MOST)]) {
    given.said.delete(old);
    given.withdrawals.delete(old);
    site.rederive.delete(old);
    site.forecasts = site.forecasts.filter((forecast) => forecast.seq !== old);
  }
}

/** The forecast that is gone by: the newest that says something of the hours just ahead; where none does, the newest of all. */
export function forecastInForce(forecasts: readonly GivenForecast[], nowMs: number): GivenForecast | undefined {
  const soonMs = nowMs + NEAR_MS;
  const covers = ({ hours: { atMs } }: GivenForecast) =>
    (atMs[0] ?? Number.POSITIVE_INFINITY) <= soonMs && (atMs.at(-1) ?? Number.NEGATIVE_INFINITY) >= soonMs;
  return forecasts.findLast(covers) ?? forecasts.at(-1);
}
