import { useSignal } from '@preact/signals';
import { useMemo } from 'preact/hooks';
import { Link } from 'wouter-preact';
import type { Weather } from '../api/shapes.ts';
import { useRemembered } from '../live/asked.ts';
import { now } from '../live/clock.ts';
import { linkLost } from '../live/facts.ts';
import { mayWrite, session } from '../live/session.ts';
import { head, siteZone, sumps } from '../live/store.ts';
import { moment, span } from '../look/format.ts';
import { ProblemNote } from '../parts/form.tsx';
import { Icon } from '../parts/Icon.tsx';
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
  const { answer: weather, problem, cameMs } = useRemembered<Weather>('/api/forecast');
  /** As typed and not saved yet. */
  const typed = useSignal<readonly Hour[]>([]);
  const isLost = linkLost();
  if (head.value === null) return <p class="waiting">{text.page.waiting}</p>;
  const isReader = session.value !== 'unknown' && session.value !== 'none' && !mayWrite();
  return (
    <div class="page weather-page">
      <div class="joint-head">
        <Link href="/" class="back">
          <Icon name="back" />
          {weatherText.toNow}
        </Link>
        <h1 tabIndex={-1}>{weatherText.title}</h1>
        <p class="soft">{weatherText.lead}</p>
        {isLost && cameMs !== null && (
          <p class="plan-past">{weatherText.past(moment(cameMs, now.value), text.ago(span(now.value - cameMs)))}</p>
        )}
      </div>
      {!isLost && <ProblemNote problem={problem} />}
      {weather === null ? (
        (isLost || problem === null) && <p class="waiting">{isLost ? weatherText.notYet : weatherText.loading}</p>
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
      <Plans />
    </div>
  );
}

/** What the weather is asked for: when the work of each sump can be. */
function Plans() {
  if (sumps.value.size === 0) return null;
  return (
    <nav class="panel" aria-labelledby="plans-title">
      <h2 id="plans-title">{weatherText.plans}</h2>
      {[...sumps.value.values()].map(({ value: { sump, label } }) => (
        <Link key={sump} href={`/plan/${encodeURIComponent(sump)}`} class="plan-weather">
          {weatherText.plan(label)}
          <Icon name="onward" />
        </Link>
      ))}
    </nav>
  );
}

function Drawn({ weather, typed }: { weather: Weather; typed: readonly Hour[] }) {
  const zone = siteZone();
  // Drawn anew with a new answer, and not with every tick of the clock.
  const nowMs = useMemo(() => now.peek(), [weather]);
  return <AirChart weather={weather} typed={typed} nowMs={nowMs} zone={zone} />;
}
