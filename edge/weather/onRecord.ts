import type { SiteState } from '../site/state/site.ts';
import { iso } from '../site/views/iso.ts';
import { type ForecastHours, isNoNews } from './hours.ts';

/** Hours of the newest forecast on record, of all or of those that one speaker gave; null: there is none. */
export function hoursOnRecord({ forecasts }: SiteState, speaker?: string): ForecastHours | null {
  const given = forecasts.findLast(({ by }) => speaker === undefined || by.name === speaker);
  if (given === undefined) return null;
  const { atMs, milliC, humidityMilliPercent } = given.hours;
  return atMs.map((ms, index) => {
    const hour = { at: iso(ms), celsius: (milliC[index] ?? 0) / 1000 };
    const humidity = humidityMilliPercent[index] ?? null;
    return humidity === null ? hour : { ...hour, humidity: humidity / 1000 };
  });
}

/** Whether a forecast says nothing new beside the newest on record, or beside what the same speaker said last. */
export function isKnown(state: SiteState, hours: ForecastHours, speaker: string): boolean {
  return [hoursOnRecord(state), hoursOnRecord(state, speaker)].some((known) => known !== null && isNoNews(hours, known));
}
