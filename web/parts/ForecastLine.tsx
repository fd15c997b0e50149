import { Link } from 'wouter-preact';
import { now } from '../live/clock.ts';
import { linkLost } from '../live/facts.ts';
import { forecast } from '../live/store.ts';
import { roughSpan } from '../look/format.ts';
import { text } from '../text/text.ts';
import { Icon } from './Icon.tsx';

/** Whose forecast is gone by and how old it is, in one line that leads to all of it. */
export function ForecastLine() {
  return (
    <p class={linkLost() ? 'forecast-line is-past' : 'forecast-line'}>
      <Link href="/weather">
        {sentence()}
        <Icon name="onward" />
      </Link>
    </p>
  );
}

function sentence(): string {
  const words = text.now.ahead;
  if (forecast.value === null) return words.noForecast;
  const { source, givenAt, until } = forecast.value;
  const ageMs = now.value - Date.parse(givenAt);
  return Date.parse(until) < now.value ? words.forecastOver(source) : words.forecast(source, text.ago(roughSpan(ageMs)));
}
