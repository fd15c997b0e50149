import { milliCelsiusOf, ohmsAt, type Sensor } from '../../../edge/cure/sensors/sensor.ts';
import type { ProbeView } from '../../../edge/site/views/probe.ts';
import type { Problem } from '../../api/call.ts';
import { now } from '../../live/clock.ts';
import { span, temperature, unitSign } from '../../look/format.ts';
import { Choice } from '../../parts/Choice.tsx';
import { setupText } from '../../text/setupText.ts';
import { text } from '../../text/text.ts';
import { Entry, FaultsOf } from '../schedules/fields.tsx';
import type { SensorDraft, SensorPoint } from './sensorDraft.ts';

interface Props {
  draft: SensorDraft;
  put: (change: Partial<SensorDraft>) => void;
  problem: Problem | null;
}

const words = setupText.setup.probes;

/** What the probe measures with. */
export function SensorFields({ draft, put, problem }: Props) {
  return (
    <>
      <Choice label={words.sensor} names={words.sensorKind} value={draft.kind} onChoose={(kind) => put({ kind })} />
      <p class="hint">{words.sensorHint[draft.kind]}</p>
      {draft.kind === 'pt100' && (
        <Choice
          label={words.tolerance}
          names={words.toleranceName}
          value={draft.tolerance}
          onChoose={(tolerance) => put({ tolerance })}
        />
      )}
      {draft.kind === 'thermistor' && <CurveFields draft={draft} put={put} problem={problem} />}
      <FaultsOf problem={problem} path="sensor" />
    </>
  );
}

function CurveFields({ draft, put, problem }: Props) {
  return (
    <>
      <Choice label={words.curve} names={words.curveName} value={draft.curve} onChoose={(curve) => put({ curve })} />
      {draft.curve === 'beta' && (
        <div class="field-row">
          <Entry
            label={words.ohmsAt25}
            path="sensor.curve.ohmsAt25"
            problem={problem}
            value={draft.ohmsAt25}
            unit="Ω"
            onInput={(ohmsAt25) => put({ ohmsAt25 })}
          />
          <Entry
            label={words.beta}
            path="sensor.curve.betaKelvin"
            problem={problem}
            value={draft.beta}
            unit="K"
            onInput={(beta) => put({ beta })}
          />
        </div>
      )}
      {draft.curve === 'steinhartHart' &&
        (['a', 'b', 'c'] as const).map((letter) => (
          <Entry
            key={letter}
            label={words.coefficient(letter)}
            hint={letter === 'a' ? words.coefficientHint : undefined}
            path={`sensor.curve.${letter}`}
            problem={problem}
            value={draft[letter]}
            onInput={(value) => put({ [letter]: value })}
          />
        ))}
      {draft.curve === 'points' && <PointFields draft={draft} put={put} problem={problem} />}
      <FaultsOf problem={problem} path="sensor.curve" />
    </>
  );
}

function PointFields({ draft, put, problem }: Props) {
  const change = (index: number, part: Partial<SensorPoint>) =>
    put({ points: draft.points.map((point, place) => (place === index ? { ...point, ...part } : point)) });
  return (
    <fieldset class="field">
      <legend>{words.points}</legend>
      {draft.points.map((point, index) => (
        <div class="field-row" key={index}>
          <Entry
            label={`${index + 1}. ${words.pointTemperature}`}
            path={`sensor.curve.points.${index}.celsius`}
            problem={problem}
            value={point.temperature}
            unit={unitSign()}
            onInput={(value) => change(index, { temperature: value })}
          />
          <Entry
            label={words.pointOhms}
            path={`sensor.curve.points.${index}.ohms`}
            problem={problem}
            value={point.ohms}
            unit="Ω"
            onInput={(ohms) => change(index, { ohms })}
          />
        </div>
      ))}
      <div class="hint">
        <FaultsOf problem={problem} path="sensor.curve.points" />
      </div>
    </fieldset>
  );
}

/** A resistance with five figures: as many as help to find a wiring fault. */
export const ohmsWords = (ohms: number) => `${Number(ohms.toPrecision(5)).toLocaleString(text.locale)}\u202fΩ`;

/** What the newest message of the probe comes to with this sensor, while it is being filled in. */
export function LiveCheck({ view, sensor }: { view: ProbeView | null; sensor: Sensor | null }) {
  if (sensor === null)
    return view?.ohms == null ? null : <p class="live-check">{words.nowOhms(ohmsWords(view.ohms.ohms), ageOf(view.ohms.at))}</p>;
  if (sensor.kind === 'digital') {
    if (view === null || view.latest === null || view.ohms !== null) return null;
    return <p class="live-check">{words.nowDegrees(temperature(view.latest.celsius), ageOf(view.latest.at))}</p>;
  }
  const at20 = ohmsAt(sensor, 20);
  const expected = at20 === null ? '' : ` ${words.expected(ohmsWords(at20), temperature(20))}`;
  if (view === null || view.ohms === null)
    return (
      <p class="live-check">
        {words.nowNothing}
        {expected}
      </p>
    );
  const { ohms, at } = view.ohms;
  const milliC = milliCelsiusOf(sensor, ohms * 1000);
  return (
    <p class={`live-check ${milliC === null ? 'is-off' : ''}`}>
      {milliC === null
        ? words.nowOff(ohmsWords(ohms), ageOf(at))
        : words.nowReads(ohmsWords(ohms), temperature(milliC / 1000), ageOf(at))}
      {expected}
    </p>
  );
}

const ageOf = (at: string) => text.ago(span(now.value - Date.parse(at)));
