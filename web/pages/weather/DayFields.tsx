import type { Problem } from '../../api/call.ts';
import { now } from '../../live/clock.ts';
import { siteZone } from '../../live/store.ts';
import { unitSign } from '../../look/format.ts';
import { Field, typed } from '../../parts/form.tsx';
import { text } from '../../text/text.ts';
import { weatherText } from '../../text/weatherText.ts';
import { dayDistance, dayName } from './days.ts';
import type { DayDraft } from './weatherDraft.ts';

const words = weatherText.form;

interface Props {
  day: DayDraft;
  path: string;
  problem: Problem | null;
  onChange: (part: Partial<DayDraft>) => void;
}

/** Low and high of one day, each with its time. */
export function DayFields({ day, path, problem, onChange }: Props) {
  const zone = siteZone();
  const distance = dayDistance(day.day, now.value, zone);
  const name = words.day[distance] ?? '';
  const labels = {
    low: distance === 'tomorrow' ? words.lowNext : words.low,
    high: day.isHighOnly ? words.todayHigh : words.high,
  };
  return (
    <fieldset class="day-fields">
      <legend>{words.dayNamed(name, dayName(day.day, text.locale))}</legend>
      {(day.isHighOnly ? (['high'] as const) : (['low', 'high'] as const)).map((kind) => (
        <div class="day-line" key={kind}>
          <Field label={`${labels[kind]}, ${unitSign()}`} path={`${path}.${kind}`} problem={problem}>
            {(attributes) => (
              <input
                {...attributes}
                type="text"
                inputMode="text"
                autocomplete="off"
                value={day[kind]}
                onInput={(event) => onChange({ [kind]: typed(event) })}
              />
            )}
          </Field>
          <Field label={words[`${kind}At`]} path={`${path}.${kind}At`} problem={problem}>
            {(attributes) => (
              <input
                {...attributes}
                type="time"
                value={day[`${kind}At`]}
                onInput={(event) => onChange({ [`${kind}At`]: typed(event) })}
              />
            )}
          </Field>
        </div>
      ))}
    </fieldset>
  );
}
