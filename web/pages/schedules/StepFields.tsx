import { useSignal } from '@preact/signals';
import type { Need } from '../../../edge/site/sequence.ts';
import type { Problem } from '../../api/call.ts';
import { capital } from '../../look/format.ts';
import { slugOf } from '../../look/slug.ts';
import { faultsAt } from '../../parts/form.tsx';
import { Icon } from '../../parts/Icon.tsx';
import { setupText } from '../../text/setupText.ts';
import { Entry, Pick, Tick } from './fields.tsx';
import { schedules } from './known.ts';
import { needWords } from './needWords.ts';
import {
  asWaterTest,
  keyOf,
  making,
  moved,
  type Order,
  possibleNeeds,
  putStep,
  sameNeed,
  toggled,
  withoutStep,
} from './sequenceDraft.ts';

interface Props {
  order: Order;
  index: number;
  problem: Problem | null;
  onChange: (order: Order) => void;
}

const words = setupText.schedules.sequences.editor;

const stagesOf = (name: string) =>
  schedules.value?.find((schedule) => schedule.name === name)?.stages.map(({ stage }) => stage) ?? [];

/** One step: its name, its place, what it makes and what it waits for. */
export function StepFields({ order, index, problem, onChange }: Props) {
  const hold = useSignal('');
  const step = order.activities[index];
  if (step === undefined) return null;
  const { activity, label, part = '', waterTest, needs } = step;
  const path = `definition.activities.${index}`;
  const addHold = () => {
    const taken = new Set(
      order.activities.flatMap((each) => each.needs.flatMap((need) => (need.need === 'hold' ? need.hold : []))),
    );
    const need: Need = { need: 'hold', hold: slugOf(hold.value, taken, 'hold'), label: hold.value.trim() };
    onChange(toggled(order, index, need));
    hold.value = '';
  };
  return (
    <li class="step-fields">
      <div class="step-top">
        <Entry
          label={words.activityLabel(String(index + 1))}
          path={`${path}.label`}
          problem={problem}
          value={label}
          onInput={(value) => onChange(putStep(order, index, { label: value }))}
        />
        <div class="step-moves">
          <button
            type="button"
            class="button square"
            disabled={index === 0}
            aria-label={words.up(label)}
            onClick={() => onChange(moved(order, index, -1))}
          >
            <span class="turned-up">
              <Icon name="onward" />
            </span>
          </button>
          <button
            type="button"
            class="button square"
            disabled={index === order.activities.length - 1}
            aria-label={words.down(label)}
            onClick={() => onChange(moved(order, index, 1))}
          >
            <span class="turned-down">
              <Icon name="onward" />
            </span>
          </button>
          <button
            type="button"
            class="button quiet square"
            aria-label={words.remove(label)}
            onClick={() => onChange(withoutStep(order, activity))}
          >
            <Icon name="close" />
          </button>
        </div>
      </div>
      {faultsAt(problem, path)
        .filter((fault) => fault.path !== `${path}.label`)
        .map(({ message }) => (
          <p class="fault" key={message}>
            {capital(message)}
          </p>
        ))}
      <ul class="plain-list soft">
        {needs.map((need) => (
          <li key={keyOf(need)}>{needWords(need, order)}</li>
        ))}
      </ul>
      <details class="more">
        <summary>{words.needs(needs.length)}</summary>
        <div class="step-more">
          <div class="tick-list">
            {possibleNeeds(order, index, stagesOf).map((need) => (
              <Tick
                key={keyOf(need)}
                label={capital(needWords(need, order))}
                checked={needs.some((each) => sameNeed(each, need))}
                onChange={() => onChange(toggled(order, index, need))}
              />
            ))}
          </div>
          <div class="add-line">
            <Entry
              label={words.holdLabel}
              path=""
              problem={null}
              value={hold.value}
              onInput={(value) => {
                hold.value = value;
              }}
            />
            <button type="button" class="button" disabled={hold.value.trim() === ''} onClick={addHold}>
              {words.addHold}
            </button>
          </div>
          <Pick
            label={words.makes}
            path=""
            problem={null}
            options={[['', words.makesNone], ...order.parts.map((each): [string, string] => [each.part, each.label])]}
            value={part}
            onChange={(value) => onChange(making(order, index, value))}
          />
          <Tick label={words.waterTest} checked={waterTest} onChange={(wanted) => onChange(asWaterTest(order, index, wanted))} />
        </div>
      </details>
    </li>
  );
}
