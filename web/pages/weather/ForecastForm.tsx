import { type Signal, useSignal } from '@preact/signals';
import { useEffect, useMemo } from 'preact/hooks';
import type { Problem } from '../../api/call.ts';
import type { Weather } from '../../api/shapes.ts';
import { now, serverNowMs } from '../../live/clock.ts';
import { linkLost } from '../../live/facts.ts';
import { siteZone } from '../../live/store.ts';
import { offerUndo } from '../../live/undo.ts';
import { unit } from '../../look/settings.ts';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { text } from '../../text/text.ts';
import { weatherText } from '../../text/weatherText.ts';
import { DayFields } from './DayFields.tsx';
import { measuredNow } from './weatherCurve.ts';
import { DAYS_MOST, type DayDraft, emptyDays, fullDays, type Hour, hoursOf, oneMore, readDays } from './weatherDraft.ts';

const words = weatherText.form;
const MINUTE_MS = 60_000;

/** Lows and highs as every weather report gives them. What they come to is drawn before it is saved. */
export function ForecastForm({ measured, typed }: { measured: Weather['measured']; typed: Signal<readonly Hour[]> }) {
  // Another unit, other numbers in the fields.
  return <InUnit key={unit.value} measured={measured} typed={typed} />;
}

function InUnit({ measured, typed }: { measured: Weather['measured']; typed: Signal<readonly Hour[]> }) {
  const zone = siteZone();
  const days = useSignal<readonly DayDraft[]>(emptyDays(now.peek(), zone));
  const source = useSignal<string>(words.sourcePreset);
  const { busy, problem, record } = useRecord();
  /** What the form itself found wrong when it was to be sent. */
  const found = useSignal<Problem | null>(null);
  const minuteMs = Math.floor(now.value / MINUTE_MS) * MINUTE_MS;
  const shownIn = unit.value;
  const read = useMemo(
    () => readDays(days.value, { nowMs: minuteMs, zone, unit: shownIn, words: words.fault }),
    [days.value, minuteMs, zone, shownIn],
  );
  const course = useMemo(
    () =>
      read.faults.length > 0
        ? { hours: [], problem: null }
        : hoursOf(read.extremes, { nowMs: minuteMs, nowCelsius: measuredNow(measured, minuteMs), zone }),
    [read, minuteMs, measured, zone],
  );
  useEffect(() => {
    typed.value = course.hours;
  }, [course]);
  useEffect(
    () => () => {
      typed.value = [];
    },
    [],
  );

  const change = (index: number, part: Partial<DayDraft>) => {
    found.value = null;
    days.value = days.value.map((day, place) => (place === index ? { ...day, ...part } : day));
  };
  const save = async (event: Event) => {
    event.preventDefault();
    const faults =
      course.problem === null ? read.faults : [{ path: `days.${days.value.length - 1}.high`, message: course.problem }];
    if (faults.length > 0) {
      found.value = { status: 0, code: 'not-sent', title: words.fault.title, detail: '', faults };
      return;
    }
    const recorded = await record({
      kind: 'forecast.given',
      hours: course.hours.map(({ at, celsius }) => ({ at: new Date(at).toISOString(), celsius })),
      source: source.value,
    });
    if (recorded === null) return;
    days.value = emptyDays(serverNowMs(), zone);
    offerUndo(null, recorded.seq, words.saved);
  };
  const shown = found.value ?? problem.value;
  return (
    <section class="panel" aria-labelledby="tell-title">
      <div>
        <h2 id="tell-title">{words.title}</h2>
        <p class="soft">{words.lead}</p>
      </div>
      <form class="form" onSubmit={save} noValidate>
        {days.value.map((day, index) => (
          <DayFields key={day.day} day={day} path={`days.${index}`} problem={shown} onChange={(part) => change(index, part)} />
        ))}
        <div class="plan-buttons">
          {fullDays(days.value) < DAYS_MOST && (
            <button
              type="button"
              class="button"
              onClick={() => {
                days.value = oneMore(days.value, zone);
              }}
            >
              {words.more}
            </button>
          )}
          {fullDays(days.value) > 1 && (
            <button
              type="button"
              class="button quiet"
              onClick={() => {
                days.value = days.value.slice(0, -1);
              }}
            >
              {words.fewer}
            </button>
          )}
        </div>
        <TextField label={words.source} hint={words.sourceHint} path="source" problem={shown} value={source} required />
        {course.problem !== null && <p class="fault">{course.problem}</p>}
        <ProblemNote problem={shown} fields={['days', 'source']} />
        <p class="soft" role="status">
          {course.hours.length > 0 && words.preview}
        </p>
        {linkLost() && <p>{weatherText.noSaving}</p>}
        <button type="submit" class="button primary" disabled={busy.value || linkLost()}>
          {busy.value ? text.action.saving : words.save}
        </button>
      </form>
    </section>
  );
}
