import type { Signal } from '@preact/signals';
import { useMemo } from 'preact/hooks';
import type { SumpOutlook } from '../../api/shapes.ts';
import { now } from '../../live/clock.ts';
import { difference, limit, moment } from '../../look/format.ts';
import { Icon } from '../../parts/Icon.tsx';
import { planText } from '../../text/planText.ts';
import { text } from '../../text/text.ts';
import type { HeaterChoice } from './heats.ts';
import type { HelpDraft } from './helpDraft.ts';
import type { Aim } from './planAnswer.ts';
import { useSolved } from './useSolved.ts';

const words = planText.help;
const MINUTE_MS = 60_000;

interface Props {
  outlook: SumpOutlook;
  aim: Aim;
  draft: Signal<HelpDraft>;
  heater: HeaterChoice;
}

/** The least that makes it nine chances in ten, by warmth and by a heater. */
export function Advice({ outlook, aim, draft, heater: { heat } }: Props) {
  const holdQuestion = useMemo(() => ({ outlook: { joints: outlook.joints }, aim }), [outlook, aim]);
  const heatQuestion = useMemo(() => ({ outlook: { joints: outlook.joints }, aim, heat }), [outlook, aim, heat]);
  const hold = useSolved('hold', holdQuestion);
  const heating = useSolved('heat', heatQuestion);
  const named = (joints: readonly string[]) =>
    text.listAnd([...new Set(joints)].map((name) => outlook.joints.find(({ joint }) => joint === name)?.label ?? name));
  const take = (change: Partial<HelpDraft>) => () => {
    draft.value = { ...draft.value, ...change };
  };
  const name =
    heat.kind === 'level' ? words.heaterSet(limit(heat.milliC / 1000)) : words.heaterRise(difference(heat.milliC / 1000));
  const enough = hold.answer?.value;
  const by = heating.answer?.value;
  return (
    <div class="advice" aria-busy={hold.busy || heating.busy}>
      <h3>{words.advice}</h3>
      <Line isWorking={enough === undefined} isStale={hold.busy}>
        {enough === null && words.holdNone}
        {enough != null && (
          <>
            <b>{words.hold(named(enough.joints), limit(enough.milliC / 1000))}</b>
            <button
              type="button"
              class="button"
              onClick={take({
                way: 'hold',
                holdCelsius: enough.milliC / 1000,
                fromMs: null,
                joints: [...new Set(enough.joints)],
              })}
            >
              {words.take}
            </button>
          </>
        )}
      </Line>
      <Line isWorking={by === undefined} isStale={heating.busy}>
        {by === null && words.heatNone(name)}
        {by != null && (
          <>
            <b>
              {by.fromMs <= now.value + MINUTE_MS
                ? words.heatNow(name, named(by.joints))
                : words.heatBy(name, named(by.joints), moment(by.fromMs, now.value))}
            </b>
            <button
              type="button"
              class="button"
              onClick={take({ way: 'heat', fromMs: by.fromMs <= now.value ? null : by.fromMs, joints: [...new Set(by.joints)] })}
            >
              {words.take}
            </button>
          </>
        )}
      </Line>
    </div>
  );
}

interface LineProps {
  isWorking: boolean;
  isStale: boolean;
  children: preact.ComponentChildren;
}

function Line({ isWorking, isStale, children }: LineProps) {
  return (
    <div class={`advice-line ${isStale ? 'is-stale' : ''}`} role="status">
      {isWorking ? (
        <p class="soft">
          <Icon name="wait" />
          {words.working}
        </p>
      ) : (
        children
      )}
    </div>
  );
}
