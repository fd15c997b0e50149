import { useSignal } from '@preact/signals';
import type { Weather } from '../../api/shapes.ts';
import { now } from '../../live/clock.ts';
import { linkLost } from '../../live/facts.ts';
import { mayWrite } from '../../live/session.ts';
import { capital, moment, roughSpan, temperature } from '../../look/format.ts';
import { Icon } from '../../parts/Icon.tsx';
import { text } from '../../text/text.ts';
import { weatherText } from '../../text/weatherText.ts';
import { TakeBackEntry } from '../crew/TakeBackEntry.tsx';
import { measuredNow } from './weatherCurve.ts';

const words = weatherText.now;

/** Which forecast is gone by, and what is gone by without one. */
export function GoneBy({ weather }: { weather: Weather }) {
  const { forecast, air, measured, fetch } = weather;
  const taking = useSignal(false);
  const nowCelsius = measuredNow(measured, now.value);
  const ago = (instant: string) => text.ago(roughSpan(now.value - Date.parse(instant)));
  return (
    <section class="panel" aria-labelledby="gone-by-title">
      <h2 id="gone-by-title">{words.title}</h2>
      {forecast === null ? (
        <p class="why">
          <Icon name="question" />
          <span>
            {words.none} {air === null ? words.nothing : words.noneMore}
          </span>
        </p>
      ) : (
        air?.from === 'persistence' && (
          <p class="why is-doubt">
            <Icon name="warning" />
            <span>{words.over}</span>
          </p>
        )
      )}
      <dl class="facts">
        {forecast !== null && (
          <>
            <div>
              <dt>{words.source}</dt>
              <dd>{forecast.source}</dd>
            </div>
            <div>
              <dt>{words.given}</dt>
              <dd>{words.givenBy(ago(forecast.givenAt), forecast.by)}</dd>
            </div>
            <div>
              <dt>{words.until}</dt>
              <dd>{moment(Date.parse(forecast.until), now.value)}</dd>
            </div>
          </>
        )}
        <div>
          <dt>{words.measured}</dt>
          <dd>{nowCelsius === null ? words.measuredNone : temperature(nowCelsius)}</dd>
        </div>
        {fetch !== null && (
          <div>
            <dt>{words.fetched}</dt>
            <dd>
              {words.fetchedFrom(fetch.url, String(fetch.everyMinutes))}
              <br />
              <span class={fetch.ok || fetch.triedAt === null ? 'soft' : 'fault'}>
                {fetch.triedAt === null
                  ? words.fetchNotYet
                  : fetch.ok
                    ? words.fetchTried(ago(fetch.triedAt))
                    : words.fetchFailed(ago(fetch.triedAt), capital(fetch.detail ?? ''))}
              </span>
            </dd>
          </div>
        )}
      </dl>
      {forecast !== null && <p class="soft">{words.untilAfter}</p>}
      {forecast !== null && mayWrite() && !linkLost() && (
        <button
          type="button"
          class="button"
          onClick={() => {
            taking.value = true;
          }}
        >
          {words.takeBack}
        </button>
      )}
      {taking.value && forecast !== null && (
        <TakeBackEntry
          title={words.takeBackTitle}
          lead={words.takeBackLead}
          confirm={words.takeBackConfirm}
          about={forecast.source}
          seq={forecast.seq}
          onClose={() => {
            taking.value = false;
          }}
        />
      )}
    </section>
  );
}
