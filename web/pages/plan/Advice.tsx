import type { Signal } from '@preact/signals';
import type { SumpOutlook } from '../../api/shapes.ts';
import { now } from '../../live/clock.ts';
import { difference, limit, moment } from '../../look/format.ts';
import { Icon } from '../../parts/Icon.tsx';
import { aheadText } from '../../text/aheadText.ts';
import { planText } from '../../text/planText.ts';
import { text } from '../../text/text.ts';
import type { HeaterChoice } from './heats.ts';
import type { HelpDraft } from './helpDraft.ts';
import type { AdviceTold } from './useAdvice.ts';

const words = planText.help;
const MINUTE_MS = 60_000;

interface Props {
  outlook: SumpOutlook;
  advice: AdviceTold;
  draft: Signal<HelpDraft>;
  heater: HeaterChoice;
}

/** The least that makes it nine chances in ten, by warmth and by a heater; or how much it helps where it is not enough. */
export function Advice({ outlook, advice: { hold, heat: heating }, draft, heater: { heat } }: Props) {
  const named = (joints: readonly string[]) =>
    text.listAnd([...new Set(joints)].map((name) => outlook.joints.find(({ joint }) => joint === name)?.label ?? name));
  const take = (joints: readonly string[], change: Partial<HelpDraft>) => () => {
    draft.value = { ...draft.value, joints: [...new Set(joints)], ...change };
  };
  const name =
    heat.kind === 'level' ? words.heaterSet(limit(heat.milliC / 1000)) : words.heaterRise(difference(heat.milliC / 1000));
  const warmth = hold.value;
  const by = heating.value;
  return (
    <div class="advice" aria-busy={hold.busy || heating.busy}>
      <h3>{warmth?.isEnough === false || by?.isEnough === false ? words.adviceMore : words.advice}</h3>
      <Line isWorking={warmth === undefined} isStale={hold.busy}>
        {warmth === null && words.holdNone}
        {warmth != null && (
          <>
            {warmth.isEnough ? (
              <b>{words.hold(named(warmth.joints), limit(warmth.milliC / 1000))}</b>
            ) : (
              <span>
                <b>{words.hold(named(warmth.joints), limit(warmth.milliC / 1000))}</b> {lifted(warmth)}
              </span>
            )}
            <TryOut onTake={take(warmth.joints, { way: 'hold', holdCelsius: warmth.milliC / 1000, fromMs: null })} />
          </>
        )}
      </Line>
      <Line isWorking={by === undefined} isStale={heating.busy}>
        {by === null && words.heatNone(name)}
        {by != null &&
          (by.isEnough ? (
            <>
              <b>
                {by.fromMs <= now.value + MINUTE_MS
                  ? words.heatNow(name, named(by.joints))
                  : words.heatBy(name, named(by.joints), moment(by.fromMs, now.value))}
              </b>
              <TryOut onTake={take(by.joints, { way: 'heat', fromMs: by.fromMs <= now.value ? null : by.fromMs })} />
            </>
          ) : (
            <>
              <span>
                <b>{words.heatNow(name, named(by.joints))}</b> {lifted(by)}
              </span>
              <TryOut onTake={take(by.joints, { way: 'heat', fromMs: null })} />
            </>
          ))}
      </Line>
    </div>
  );
}

/** Never rounded up to what it is not enough for. */
const lifted = ({ from, to }: { from: number; to: number }) =>
  words.lifted(aheadText.chance(Math.floor(from * 10)), aheadText.chance(Math.floor(to * 10)));

function TryOut({ onTake }: { onTake: () => void }) {
  return (
    <button type="button" class="button" onClick={onTake}>
      {words.take}
    </button>
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
