import { useSignal, useSignalEffect } from '@preact/signals';
import { lengthOf } from '../../answer/typed.ts';
import { fillOf, isBadLength, isByHand } from '../../answer/waterTest.ts';
import { now } from '../../live/clock.ts';
import { probes } from '../../live/store.ts';
import { dated, temperature } from '../../look/format.ts';
import { Choice } from '../../parts/Choice.tsx';
import { Countdown } from '../../parts/Countdown.tsx';
import { Field, typed } from '../../parts/form.tsx';
import { TemperatureField } from '../../parts/NumberField.tsx';
import { instantOf, TimePick } from '../../parts/TimePick.tsx';
import { workText } from '../../text/workText.ts';
import { LevelProbe, LevelProbeChoice } from './LevelProbe.tsx';
import { lengthWords } from './lengths.ts';
import type { useDraft } from './waterTestDraft.ts';

export type Kept = ReturnType<typeof useDraft>;

const SETTLE_MS = 15 * 60_000;
const HOLD_MS = 60 * 60_000;
const FILL_LEAST = { in: 4, mm: 101.6 } as const;
const COARSEST = { in: 1 / 16, mm: 25.4 / 16 } as const;

interface LengthProps {
  kept: Kept;
  field: 'fill' | 'depth' | 'start' | 'end';
  label: string;
  hint?: string;
}

/** A length as the stick shows it, in the unit that was chosen for the test. */
function LengthField({ kept, field, label, hint }: LengthProps) {
  const draft = kept.draft.value;
  const isBad = isBadLength(draft[field]);
  const { units, badLength, lengthHint } = workText.waterTest;
  return (
    <Field
      label={`${label}, ${units[draft.unit]}`}
      hint={isBad ? badLength : (hint ?? lengthHint[draft.unit])}
      path={field}
      problem={null}
    >
      {(attributes) => (
        <input
          {...attributes}
          aria-invalid={isBad}
          type="text"
          inputMode={draft.unit === 'in' ? 'text' : 'decimal'}
          autocomplete="off"
          value={draft[field]}
          onInput={(event) => kept.change({ [field]: typed(event) })}
        />
      )}
    </Field>
  );
}

/** When a step ended: now, or at the time that was picked. */
function Ended({ label, confirm, disabled, onEnd, notBeforeMs, least, mustFollow = workText.waterTest.mustFollow }: EndedProps) {
  const at = useSignal<number | null>(null);
  const isTooEarly = at.value !== null && notBeforeMs !== null && at.value < notBeforeMs;
  const isShort = notBeforeMs !== null && least !== undefined && (at.value ?? now.value) - notBeforeMs < least.ms;
  return (
    <>
      <TimePick at={at} label={label} />
      {!isTooEarly && isShort && at.value !== null && (
        <p class="fault" role="status">
          {least.short}
        </p>
      )}
      {isTooEarly && (
        <p class="fault" role="status">
          {mustFollow}
        </p>
      )}
      <button
        type="button"
        class="button primary"
        disabled={disabled || isTooEarly}
        onClick={() => onEnd(Date.parse(instantOf(at)))}
      >
        {confirm}
      </button>
    </>
  );
}

interface EndedProps {
  label: string;
  confirm: string;
  disabled: boolean;
  onEnd: (atMs: number) => void;
  /** Of the step before it; null: there is none. */
  notBeforeMs: number | null;
  /** What is said of a time before that. */
  mustFollow?: string;
  /** How long it has to last, and what is said of a time that is shorter. */
  least?: { readonly ms: number; readonly short: string };
}

function Told({ facts }: { facts: readonly (readonly [string, string])[] }) {
  return (
    <dl class="facts">
      {facts.map(([name, value]) => (
        <div key={name}>
          <dt>{name}</dt>
          <dd>{value}</dd>
        </div>
      ))}
    </dl>
  );
}

interface FillProps {
  kept: Kept;
  isNow: boolean;
  isOver: boolean;
  /** When the test was started, UTC ms; null: it was not. */
  begunMs: number | null;
}

export function FillStep({ kept, isNow, isOver, begunMs }: FillProps) {
  const draft = kept.draft.value;
  const words = workText.waterTest;
  const { method, unit, resolution, filledMs } = draft;
  const fill = fillOf(draft);
  if (isOver)
    return (
      <Told
        facts={[
          [words.method, words.methods[method]],
          [words.fill[method], lengthWords(draft.fill, unit)],
          [words.filledAt, dated(filledMs ?? 0)],
        ]}
      />
    );
  if (!isNow) return null;
  const steps = words.resolutions[unit];
  return (
    <div class="form">
      <Choice label={words.method} names={words.methods} value={method} onChoose={(value) => kept.change({ method: value })} />
      <p class={method === 'low-level' ? 'why is-doubt' : 'soft'}>{words.methodHint[method]}</p>
      <Choice
        label={words.unit}
        names={words.units}
        value={unit}
        onChoose={(value) => kept.change({ unit: value, resolution: words.resolutions[value][1]?.value ?? 1 })}
      />
      <Choice
        label={words.resolution}
        names={Object.fromEntries(steps.map(({ value, label }) => [String(value), label]))}
        value={String(resolution)}
        onChoose={(value) => kept.change({ resolution: Number(value) })}
      />
      {resolution > COARSEST[unit] + 1e-9 && <p class="fault">{words.tooCoarse}</p>}
      <LengthField kept={kept} field="fill" label={words.fill[method]} />
      {method === 'full-height' && fill !== null && fill < FILL_LEAST[unit] && <p class="fault">{words.fillTooLow}</p>}
      <LengthField kept={kept} field="depth" label={words.depth} hint={words.depthHint} />
      <LevelProbeChoice kept={kept} />
      <Ended
        label={words.filledAt}
        confirm={words.toSettle}
        disabled={fill === null || isBadLength(draft.depth)}
        notBeforeMs={begunMs}
        {...(begunMs === null ? {} : { mustFollow: words.filledBefore(dated(begunMs)) })}
        onEnd={(filledMs) => kept.change({ filledMs })}
      />
    </div>
  );
}

export function SettleStep({ kept, isNow }: { kept: Kept; isNow: boolean }) {
  const draft = kept.draft.value;
  const words = workText.waterTest;
  const { filledMs, startedMs, celsiusStart, unit, probe } = draft;
  if (filledMs === null) return null;
  if (!isNow)
    return (
      <Told
        facts={[
          [words.start, lengthWords(draft.start, unit)],
          ...(celsiusStart === null ? [] : [[words.waterCelsius, temperature(celsiusStart)] as const]),
          [words.startedAt, dated(startedMs ?? 0)],
        ]}
      />
    );
  const hasProbe = probe !== '';
  const isMissing = hasProbe ? isBadLength(draft.start) : lengthOf(draft.start) === null;
  return (
    <div class="form">
      <p>{words.settle}</p>
      <Countdown fromMs={filledMs} spanMs={SETTLE_MS} left={words.settleLeft} over={words.settled} short={words.settleShort} />
      <LengthField kept={kept} field="start" label={hasProbe ? words.startOptional : words.start} />
      <LevelProbe probe={probe} />
      <WaterCelsius kept={kept} field="celsiusStart" />
      <Ended
        label={words.startedAt}
        confirm={words.toHold}
        disabled={isMissing}
        notBeforeMs={filledMs}
        least={{ ms: SETTLE_MS, short: words.settleShort }}
        onEnd={(startedMs) => kept.change({ startedMs })}
      />
    </div>
  );
}

export function HoldStep({ kept, isNow }: { kept: Kept; isNow: boolean }) {
  const draft = kept.draft.value;
  const words = workText.waterTest;
  const { startedMs, endedMs, celsiusEnd, unit, probe } = draft;
  if (startedMs === null) return null;
  if (!isNow)
    return (
      <Told
        facts={[
          [words.end, lengthWords(draft.end, unit)],
          ...(celsiusEnd === null ? [] : [[words.waterCelsius, temperature(celsiusEnd)] as const]),
          [words.endedAt, dated(endedMs ?? 0)],
        ]}
      />
    );
  const hasProbe = probe !== '' && probes.value.has(probe);
  const isMissing = hasProbe ? isBadLength(draft.end) : !isByHand(draft);
  return (
    <div class="form">
      <p>{words.hold}</p>
      <Countdown fromMs={startedMs} spanMs={HOLD_MS} left={words.holdLeft} over={words.held} short={words.holdShort} />
      <LengthField kept={kept} field="end" label={hasProbe ? words.endOptional : words.end} hint={words.sameMark} />
      <LevelProbe probe={probe} />
      <WaterCelsius kept={kept} field="celsiusEnd" />
      <Ended
        label={words.endedAt}
        confirm={words.toVerdict}
        disabled={isMissing}
        notBeforeMs={startedMs}
        least={{ ms: HOLD_MS, short: words.holdShort }}
        onEnd={(endedMs) => kept.change({ endedMs })}
      />
    </div>
  );
}

function WaterCelsius({ kept, field }: { kept: Kept; field: 'celsiusStart' | 'celsiusEnd' }) {
  const celsius = useSignal(kept.draft.peek()[field]);
  useSignalEffect(() => {
    const value = celsius.value;
    if (kept.draft.peek()[field] !== value) kept.change({ [field]: value });
  });
  return <TemperatureField label={workText.waterTest.waterCelsius} path={field} problem={null} celsius={celsius} />;
}
