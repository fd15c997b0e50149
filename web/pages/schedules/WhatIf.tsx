import { useSignal } from '@preact/signals';
import { useMemo } from 'preact/hooks';
import { HOUR_MS, type Schedule } from '../../../edge/cure/schedule.ts';
import { DEFAULT_HUMIDITY_UNCERTAINTY_PERCENT, DEFAULT_UNCERTAINTY_CELSIUS } from '../../../edge/site/said/instruments.ts';
import { now } from '../../live/clock.ts';
import { expectedMoment, unitSign } from '../../look/format.ts';
import { unit } from '../../look/settings.ts';
import { setupText } from '../../text/setupText.ts';
import { Entry, Pick } from './fields.tsx';
import { celsiusOf, differenceOf, numberOf, writtenCelsius, writtenDifference } from './numbers.ts';
import { compiled } from './preview.ts';
import { clockWords, stageName } from './scheduleWords.ts';
import { type HeldStage, HORIZON_HOURS, whatIf } from './whatIf.ts';

const words = setupText.schedules.whatIf;
const MINUTE_MS = 60_000;

/** What would become of a joint that was laid up now, at a temperature that stays. */
export function WhatIf({ all }: { all: readonly Schedule[] }) {
  const name = useSignal(all[0]?.name ?? '');
  const temperature = useSignal(writtenCelsius(10, unit.value));
  const guard = useSignal(writtenDifference(DEFAULT_UNCERTAINTY_CELSIUS, unit.value));
  const humidity = useSignal('50');
  const guardPercent = useSignal(String(DEFAULT_HUMIDITY_UNCERTAINTY_PERCENT));
  /** Null: that of the schedule. */
  const bead = useSignal<string | null>(null);
  const schedule = all.find((each) => each.name === name.value) ?? all[0];
  const rules = useMemo(() => (schedule === undefined ? null : compiled(schedule)), [schedule]);
  if (rules === null || schedule === undefined) return null;
  const { law } = schedule;
  const isMoist = law.kind === 'moisture';
  // The clock ticks every second; the answer need not.
  const startMs = Math.floor(now.value / MINUTE_MS) * MINUTE_MS;
  const held = {
    startMs,
    celsius: celsiusOf(temperature.value, unit.value),
    guardCelsius: differenceOf(guard.value, unit.value),
    humidityPercent: isMoist ? numberOf(humidity.value) : 0,
    guardPercent: isMoist ? numberOf(guardPercent.value) : 0,
    beadMillimetres: law.kind !== 'moisture' ? null : bead.value === null ? law.beadMillimetres : numberOf(bead.value),
  };
  const usable =
    Object.values(held).every((value) => value === null || Number.isFinite(value)) && (held.beadMillimetres ?? 1) > 0;
  const take = (signal: { value: string | null }) => (value: string) => {
    signal.value = value;
  };
  return (
    <div class="what-if">
      <p class="soft">{words.lead}</p>
      <Pick
        label={words.schedule}
        path=""
        problem={null}
        options={all.map((each): [string, string] => [each.name, each.title])}
        value={schedule.name}
        onChange={take(name)}
      />
      <div class="field-row">
        <Entry
          label={words.temperature}
          path=""
          problem={null}
          value={temperature.value}
          unit={unitSign()}
          onInput={take(temperature)}
        />
        <Entry
          label={words.guard}
          hint={words.guardHint}
          path=""
          problem={null}
          value={guard.value}
          unit={unitSign()}
          onInput={take(guard)}
        />
      </div>
      {isMoist && (
        <>
          <div class="field-row">
            <Entry label={words.humidity} path="" problem={null} value={humidity.value} unit="%" onInput={take(humidity)} />
            <Entry
              label={words.guardHumidity}
              path=""
              problem={null}
              value={guardPercent.value}
              unit="%"
              onInput={take(guardPercent)}
            />
          </div>
          <Entry
            label={words.bead}
            path=""
            problem={null}
            value={bead.value ?? String(law.beadMillimetres)}
            unit="mm"
            onInput={take(bead)}
          />
        </>
      )}
      {usable ? (
        <dl class="facts what-if-answer">
          {whatIf(rules, held).map((stage) => (
            <div key={stage.stage}>
              <dt>
                {stageName(stage.stage)}
                {stage.fromMix && <span class="soft"> {words.fromMix.toLowerCase()}</span>}
              </dt>
              <dd>{answerOf(stage, startMs)}</dd>
            </div>
          ))}
        </dl>
      ) : (
        <p class="fault">{words.notANumber}</p>
      )}
      <p class="hint">{words.promise}</p>
    </div>
  );
}

function answerOf({ reachedAtMs }: HeldStage, startMs: number): string {
  if (reachedAtMs === 'never') return words.never;
  if (reachedAtMs === 'beyond') return words.beyond(String(HORIZON_HOURS));
  return words.reached(expectedMoment(reachedAtMs, startMs), clockWords((reachedAtMs - startMs) / HOUR_MS));
}
