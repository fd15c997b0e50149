import type { ProjectionView } from '../../edge/site/views/outlook.ts';
import type { HeatKind } from '../answer/heating.ts';
import { dated, difference, hoursDone, hoursPlain, roughSpan, temperature } from '../look/format.ts';
import { jointText } from '../text/jointText.ts';

/** What the drawing shows of what lies ahead, in sentences; none where nothing does. */
export function aheadSummary({ band }: ProjectionView): string[] {
  const last = band.at(-1);
  if (last === undefined) return [];
  const words = jointText.ahead.summary;
  const [low, likely, high] = ([0, 1, 2] as const).map((place) => band.map(({ celsius }) => celsius[place]));
  const [least, , most] = last.warmHours;
  return [
    words.temperature(
      dated(last.at),
      temperature(Math.min(...(likely ?? []))),
      temperature(Math.max(...(likely ?? []))),
      temperature(Math.min(...(low ?? []))),
      temperature(Math.max(...(high ?? []))),
    ),
    words.warm(hoursDone(last.warmHours[1]), hoursDone(least), hoursDone(most)),
  ];
}

/** On what it rests, in sentences; none where there is nothing to go by. */
export function basisWords({ asOf, basis }: ProjectionView, what: HeatKind, nowMs: number): string[] {
  if (basis === null) return [];
  const words = jointText.ahead.basis;
  const { air, forecast, lag, heat, airErrorCelsius, airComparisons } = basis;
  const source =
    air === 'forecast' && forecast !== null
      ? words.forecast(forecast.source, roughSpan(nowMs - Date.parse(forecast.givenAt)), dated(Date.parse(forecast.until)))
      : words[air === 'own' ? 'own' : 'persistence'];
  const offset =
    lag.offsetCelsius >= 0 ? words.warmer(difference(lag.offsetCelsius)) : words.colder(difference(-lag.offsetCelsius));
  return [
    source,
    words.airError(difference(airErrorCelsius), airComparisons),
    lag.errorCelsius === null
      ? words.lagAssumed(hoursPlain(lag.hours))
      : words.lag(hoursPlain(lag.hours), offset, hoursPlain(Math.floor(lag.fittedHours)), difference(lag.errorCelsius)),
    heat === null
      ? words.noHeat
      : words.heat(
          words.on[what],
          dated(Date.parse(heat.since)),
          heat.kind === 'level' ? words.level(temperature(heat.celsius)) : words.rise(difference(heat.celsius)),
          heat.seen,
        ),
    words.asOf(dated(Date.parse(asOf))),
  ];
}
