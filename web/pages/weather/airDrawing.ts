import type { Weather } from '../../api/shapes.ts';
import type { BandDrawing } from '../../chart/bandConfig.ts';
import { moment, temperature } from '../../look/format.ts';
import { weatherText } from '../../text/weatherText.ts';
import { bandOf, extremesWithin } from './weatherCurve.ts';
import type { Hour } from './weatherDraft.ts';

const words = weatherText.chart;
const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
/** Lows and highs are told to the half hour. */
const GRAIN_MS = HOUR_MS / 2;
/** So far back and ahead is drawn; ahead farther where a forecast reaches farther, within five days. */
const BACK_MS = 2 * DAY_MS;
const AHEAD_MS = 2 * DAY_MS;
const AHEAD_MOST_MS = 5 * DAY_MS;

function drawnTo({ forecast }: Weather, typed: readonly Hour[], nowMs: number): number {
  const untilMs = Math.max(forecast === null ? 0 : Date.parse(forecast.until), typed.at(-1)?.at ?? 0);
  return Math.min(nowMs + AHEAD_MOST_MS, Math.max(nowMs + AHEAD_MS, untilMs));
}

export function airDrawing(weather: Weather, typed: readonly Hour[], nowMs: number, timeZone: string): BandDrawing {
  const { air, measured, errorCelsius } = weather;
  const toMs = drawnTo(weather, typed, nowMs);
  const within = ([atMs]: readonly [number, number | null]) => atMs >= nowMs - BACK_MS && atMs <= toMs;
  const ahead = (air?.atMs ?? []).map((atMs, index) => [atMs, air?.celsius[index] ?? null] as const).filter(within);
  const band =
    air === null
      ? null
      : bandOf({ atMs: ahead.map(([atMs]) => atMs), celsius: ahead.map(([, celsius]) => celsius ?? 0) }, nowMs, errorCelsius);
  return {
    fromMs: nowMs - BACK_MS,
    toMs,
    timeZone,
    lines: [
      { label: words.measured, as: 'measured', points: measured.filter(within) },
      ...(air === null ? [] : [{ label: words.ahead[air.from], as: 'likely' as const, points: ahead }]),
      ...(typed.length === 0
        ? []
        : [
            {
              label: words.typed,
              as: 'typed' as const,
              points: typed.map(({ at, celsius }) => [at, celsius] as const).filter(within),
            },
          ]),
    ],
    band: band === null ? null : { label: words.band, ...band },
    levels: [],
    marks: [{ atMs: nowMs, label: words.nowMark }],
  };
}

/** The same in sentences. */
export function airSummary({ air, forecast, measured }: Weather, typed: readonly Hour[], nowMs: number): string[] {
  const values = measured.flatMap(([, celsius]) => (celsius === null ? [] : [celsius]));
  const last = values.at(-1);
  const day = air === null ? null : extremesWithin(air, nowMs, nowMs + DAY_MS);
  // What somebody told is repeated as it was told, and not as the drawing's hours cut it.
  const told =
    air?.from === 'forecast' && forecast !== null ? extremesWithin(parted(forecast.hours), nowMs, nowMs + DAY_MS) : null;
  const own = extremesWithin(parted(typed), nowMs, nowMs + AHEAD_MOST_MS);
  const say = (sentence: typeof words.summaryAhead, { coldest, warmest }: NonNullable<typeof day>, at: (ms: number) => string) =>
    sentence(temperature(coldest.celsius), at(coldest.atMs), temperature(warmest.celsius), at(warmest.atMs));
  // Nothing of it is known to the minute.
  const nearest = (atMs: number) => moment(Math.round(atMs / GRAIN_MS) * GRAIN_MS, nowMs);
  const exact = (atMs: number) => moment(atMs, nowMs);
  return [
    last === undefined
      ? words.summaryNone
      : words.summaryMeasured(temperature(Math.min(...values)), temperature(Math.max(...values)), temperature(last)),
    ...(told !== null
      ? [say(words.summaryForecast, told, nearest)]
      : day !== null
        ? [say(words.summaryAhead, day, nearest)]
        : []),
    ...(own === null ? [] : [say(words.summaryTyped, own, exact)]),
  ];
}

const parted = (hours: readonly Hour[]) => ({ atMs: hours.map(({ at }) => at), celsius: hours.map(({ celsius }) => celsius) });

/** Hour by hour: what was measured, what is to come, and where it stays nine times in ten. */
export function airRows({ air, measured, errorCelsius }: Weather, nowMs: number): [atMs: number, ...cells: string[]][] {
  const past = measured
    .filter(([atMs], index) => atMs >= nowMs - BACK_MS && isHourly(measured, index))
    .map(([atMs, celsius]): [number, ...string[]] => [atMs, celsius === null ? words.tableGap : temperature(celsius), '', '']);
  if (air === null) return past;
  const { atMs, low, high } = bandOf(air, nowMs, errorCelsius);
  const coming = atMs.flatMap((ms, index): [number, ...string[]][] => {
    const [celsius, from, to] = [air.celsius[index], low[index], high[index]];
    if (celsius === undefined || from === undefined || to === undefined || ms > nowMs + AHEAD_MOST_MS) return [];
    return [[ms, '', temperature(celsius), words.between(temperature(from), temperature(to))]];
  });
  return [...past, ...coming];
}

/** The first reading of each hour stands for it. */
function isHourly(measured: Weather['measured'], index: number): boolean {
  const hour = (at: number) => Math.floor((measured[at]?.[0] ?? Number.NaN) / HOUR_MS);
  return index === 0 || hour(index) !== hour(index - 1);
}
