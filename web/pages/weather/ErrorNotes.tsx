import type { Weather } from '../../api/shapes.ts';
import { difference } from '../../look/format.ts';
import { weatherText } from '../../text/weatherText.ts';

const words = weatherText.error;

/** How good forecasts were on this site, or what is taken where nobody knows yet. */
export function ErrorNotes({ weather: { errorCelsius, comparisons } }: { weather: Weather }) {
  return (
    <section class="panel" aria-labelledby="error-title">
      <h2 id="error-title">{words.title}</h2>
      <p>{comparisons === 0 ? words.usual : words.compared(String(comparisons))}</p>
      <p>{words.means}</p>
      <dl class="facts lead-errors">
        {errorCelsius.map(({ hours, celsius }) => (
          <div key={hours}>
            <dt>{words.ahead(String(hours))}</dt>
            <dd>{words.within(difference(celsius))}</dd>
          </div>
        ))}
      </dl>
    </section>
  );
}
