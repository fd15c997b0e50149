import { siteZone } from '../live/store.ts';
import { text } from '../text/text.ts';
import { roundLimit } from './round.ts';
import { hourCycle, unit } from './settings.ts';

const NARROW_SPACE = '\u202f';
const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;
/** Within this span a weekday alone names a day. */
const WEEKDAY_SPAN_MS = 6 * DAY_MS;

/** °C to the unit that this browser shows. */
export function inUnit(celsius: number): number {
  return unit.value === 'F' ? celsius * 1.8 + 32 : celsius;
}

export const unitSign = () => `°${unit.value}`;

/** A number with the minus sign of print. */
export const signed = (shown: string | number) => String(shown).replace('-', '−');

/** `47.3 °F`. */
export function temperature(celsius: number): string {
  // Just below zero rounds to zero, which has no sign.
  const tenths = Math.round(inUnit(celsius) * 10) || 0;
  return `${signed((tenths / 10).toFixed(1))}${NARROW_SPACE}${unitSign()}`;
}

/** A limit that is met by whoever meets what is shown. A whole number stands without its zero. */
export function limit(celsius: number): string {
  return `${signed(roundLimit(inUnit(celsius), unit.value))}${NARROW_SPACE}${unitSign()}`;
}

/** A difference of temperatures, such as a guard band. */
export function difference(celsius: number): string {
  return `${Math.round((unit.value === 'F' ? celsius * 1.8 : celsius) * 10) / 10}${NARROW_SPACE}${unitSign()}`;
}

/** Hours earned, rounded down: what is shown is never more than what is there. */
export const hoursDone = (hours: number) => (Math.floor(hours * 10 + 1e-9) / 10).toFixed(1);

/** Hours to go, rounded up: never 0.0 while anything is missing. */
export const hoursToGo = (hours: number) => (Math.ceil(hours * 10 - 1e-9) / 10).toFixed(1);

/** A count of whole hours without decimals, others with one. */
export const hoursPlain = (hours: number) => String(Math.round(hours * 10) / 10);

/** A share of 1 in whole percent, rounded down. */
export const percent = (share: number) => String(Math.floor(share * 100 + 1e-9));

const formatters = new Map<string, Intl.DateTimeFormat>();

function formatter(options: Intl.DateTimeFormatOptions): Intl.DateTimeFormat {
  const cycle = hourCycle.value === '12' ? 'h12' : 'h23';
  const all: Intl.DateTimeFormatOptions = { ...options, timeZone: siteZone() };
  if (options.hour !== undefined) all.hourCycle = cycle;
  const key = JSON.stringify(all);
  const made = formatters.get(key) ?? new Intl.DateTimeFormat(text.locale, all);
  formatters.set(key, made);
  return made;
}

const clockParts = () => ({ hour: hourCycle.value === '12' ? 'numeric' : '2-digit', minute: '2-digit' }) as const;

/** `14:20`, on the site's clock. */
export const clockTime = (ms: number) => formatter(clockParts()).format(ms);

/** Whether two instants lie on one day of the site's calendar. */
export function isSameDay(oneMs: number, otherMs: number): boolean {
  const day = formatter({ year: 'numeric', month: 'numeric', day: 'numeric' });
  return day.format(oneMs) === day.format(otherMs);
}

/** `14:20:31`, on the site's clock. */
export const clockSeconds = (ms: number) => formatter({ ...clockParts(), second: '2-digit' }).format(ms);

/** `Thu 14:20`, with the date when the weekday alone could mean another week. */
export function moment(ms: number, nowMs: number): string {
  const near = Math.abs(ms - nowMs) < WEEKDAY_SPAN_MS;
  const day = formatter(near ? { weekday: 'short' } : { weekday: 'short', day: 'numeric', month: 'short' }).format(ms);
  return `${day} ${clockTime(ms)}`;
}

/** The same for what is still to come, rounded up to the minute: whoever comes then is not too early. */
export const expectedMoment = (ms: number, nowMs: number) => moment(Math.ceil(ms / MINUTE_MS) * MINUTE_MS, nowMs);

/** `Thu, Mar 12, 2026, 14:20:05 PDT`: nothing left to guess. */
export const fullMoment = (ms: number) =>
  formatter({
    weekday: 'short',
    year: 'numeric',
    month: 'short',
    day: 'numeric',
    ...clockParts(),
    second: '2-digit',
    timeZoneName: 'short',
  }).format(ms);

/** `Thu, Mar 12, 2026, 14:20`: for what is read or printed long afterwards. */
export const dated = (ms: number) =>
  formatter({ weekday: 'short', year: 'numeric', month: 'short', day: 'numeric', ...clockParts() }).format(ms);

/** The short name of the site's time zone at that moment, such as `PDT`. */
export const zoneName = (ms: number) =>
  formatter({ timeZoneName: 'short' })
    .formatToParts(ms)
    .find((part) => part.type === 'timeZoneName')?.value ?? siteZone();

/** How long ago, or how long: `42 s`, `12 min 05 s`, `3 h 05 min`, `2 d 4 h`. */
export function span(ms: number): string {
  const seconds = Math.max(0, Math.floor(ms / 1000));
  const minutes = Math.floor(seconds / 60);
  const hours = Math.floor(minutes / 60);
  const two = (value: number) => String(value).padStart(2, '0');
  if (minutes < 1) return text.span.seconds(String(seconds));
  if (hours < 1) return text.span.minutes(String(minutes), two(seconds % 60));
  if (ms < DAY_MS) return text.span.hours(String(hours), two(minutes % 60));
  return text.span.days(String(Math.floor(hours / 24)), String(hours % 24));
}

/** The same without seconds beside minutes: for what does not tick. */
export const roughSpan = (ms: number) =>
  ms >= MINUTE_MS && ms < 60 * MINUTE_MS ? text.span.wholeMinutes(String(Math.floor(ms / MINUTE_MS))) : span(ms);

/** The service's own words as a sentence of their own: the first letter is a capital. */
export const capital = (sentence: string) => sentence.charAt(0).toUpperCase() + sentence.slice(1);
