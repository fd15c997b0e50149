import type { OutlookBasis } from '../../../edge/site/views/outlook.ts';
import type { HeatKind } from '../../answer/heating.ts';
import { now } from '../../live/clock.ts';
import { difference, hoursPlain, span, temperature } from '../../look/format.ts';
import { planText } from '../../text/planText.ts';
import { text } from '../../text/text.ts';

const words = planText.basis;
/** Less than this nobody feels, °C. */
const LEVEL_CELSIUS = 0.3;

/** What an outlook rests on, so that it can be doubted. `what` is on, where anything is. */
export function Basis({ basis, what }: { basis: OutlookBasis; what: HeatKind }) {
  return (
    <details class="more">
      <summary>{words.title}</summary>
      <ul class="bullets">
        {sentencesOf(basis, what, now.value).map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
    </details>
  );
}

function sentencesOf({ air, forecast, lag, heat, airErrorCelsius }: OutlookBasis, what: HeatKind, nowMs: number): string[] {
  const { hours, offsetCelsius, errorCelsius, fittedHours } = lag;
  const offset = difference(Math.abs(offsetCelsius));
  return [
    words.air[air],
    ...(forecast === null
      ? []
      : [words.forecast(forecast.source, text.ago(span(nowMs - Date.parse(forecast.givenAt))), forecast.by)]),
    words.airError(difference(airErrorCelsius)),
    words.lag(hoursPlain(hours)),
    ...(Math.abs(offsetCelsius) < LEVEL_CELSIUS ? [] : [offsetCelsius > 0 ? words.warmer(offset) : words.colder(offset)]),
    errorCelsius === null ? words.usual : words.fitted(hoursPlain(fittedHours), difference(errorCelsius)),
    ...(heat === null
      ? []
      : [
          heat.kind === 'rise'
            ? words.heatRise(words.on[what], difference(heat.celsius))
            : words.heatLevel(words.on[what], temperature(heat.celsius)),
          heat.seen ? words.heatSeen : words.heatTold,
        ]),
  ];
}
