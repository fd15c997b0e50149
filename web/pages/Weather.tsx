import { useSignal } from '@preact/signals';
import { useMemo } from 'preact/hooks';
import type { Weather } from '../api/shapes.ts';
import { useAsked } from '../live/asked.ts';
import { now } from '../live/clock.ts';
import { linkLost } from '../live/facts.ts';
import { link } from '../live/link.ts';
import { mayWrite, session } from '../live/session.ts';
import { head, siteZone } from '../live/store.ts';
import { moment } from '../look/format.ts';
import { ProblemNote } from '../parts/form.tsx';
import { text } from '../text/text.ts';
import { weatherText } from '../text/weatherText.ts';
import { AirChart } from './weather/AirChart.tsx';
import { ErrorNotes } from './weather/ErrorNotes.tsx';
import { ForecastFile } from './weather/ForecastFile.tsx';
import { ForecastForm } from './weather/ForecastForm.tsx';
import { GoneBy } from './weather/GoneBy.tsx';
import type { Hour } from './weather/weatherDraft.ts';
import '../style/joint.css';
import '../style/plan.css';

/** The air to come: what is gone by, how far off it may be, and how to tell a better one. */
export function WeatherPage() {
  const { answer, problem } = useAsked<Weather>('/api/forecast');
  /** As typed and not saved yet. */
  const typed = useSignal<readonly Hour[]>([]);
  const weather = answer.value;
  const isLost = linkLost();
  if (head.value === null) return <p class="waiting">{text.page.waiting}</p>;
  const isReader = session.value !== 'unknown' && session.value !== 'none' && !mayWrite();
  return (
    <div class="page weather-page">
      <div>
        <h1 tabIndex={-1}>{weatherText.title}</h1>
        <p class="soft">{weatherText.lead}</p>
        {link.value.state === 'lost' && weather !== null && (
          <p class="plan-past">{weatherText.past(moment(link.value.sinceMs, now.value))}</p>
        )}
      </div>
      {problem.value !== null && !isLost && <ProblemNote problem={problem.value} />}
      {weather === null ? (
        problem.value === null && <p class="waiting">{weatherText.loading}</p>
      ) : (
        <>
          <GoneBy weather={weather} />
          <Drawn weather={weather} typed={typed.value} />
          {weather.air !== null && <ErrorNotes weather={weather} />}
          {isReader ? (
            <p class="soft">{weatherText.readOnly}</p>
          ) : (
            <div class="weather-pair">
              <ForecastForm measured={weather.measured} typed={typed} />
              <ForecastFile />
            </div>
          )}
        </>
      )}
    </div>
  );
}

function Drawn({ weather, typed }: { weather: Weather; typed: readonly Hour[] }) {
  const zone = siteZone();
  // Drawn anew with a new answer, and not with every tick of the clock.
  const nowMs = useMemo(() => now.peek(), [weather]);
  return <AirChart weather={weather} typed={typed} nowMs={nowMs} zone={zone} />;
}
