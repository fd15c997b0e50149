import { type Signal, useSignal } from '@preact/signals';
import { useMemo } from 'preact/hooks';
import { DEFAULT_LAG } from '../../../edge/cure/outlook/lag.ts';
import type { LayUpPlan } from '../../../edge/cure/outlook/layUp.ts';
import type { SumpOutlook } from '../../api/shapes.ts';
import { now } from '../../live/clock.ts';
import { difference, hoursPlain, limit, moment } from '../../look/format.ts';
import { nextQuarter } from '../../look/siteTime.ts';
import { Choice } from '../../parts/Choice.tsx';
import { Icon } from '../../parts/Icon.tsx';
import { Likely } from '../../parts/Likely.tsx';
import { TemperatureField } from '../../parts/NumberField.tsx';
import { planText } from '../../text/planText.ts';
import { text } from '../../text/text.ts';
import { HourNotes } from './HourNotes.tsx';
import { materialStanding } from './hourAhead.ts';
import { PickField } from './PickField.tsx';
import { useSolved } from './useSolved.ts';
import { WhenField } from './WhenField.tsx';
import { whenFault } from './when.ts';

const words = planText.layUp;
const MINUTE_MS = 60_000;
const SOON_MS = 30 * MINUTE_MS;
const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
/** Less than this nobody feels, m°C. */
const LEVEL_MILLI_C = 300;

type Plans = SumpOutlook['plans'];

/** When a joint that is still to be laid up would be ready, how late it can be begun, and what that hour will be like. */
export function LayUpAhead({ outlook, dueMs }: { outlook: SumpOutlook; dueMs: number | null }) {
  const picked = useSignal('');
  // What was typed stays whatever is laid up then.
  const start = useSignal(nextQuarter(now.peek() + SOON_MS));
  /** Null: what is chosen above. */
  const by = useSignal<number | null>(null);
  const chosen = outlook.plans.find((each) => keyOf(each) === picked.value) ?? outlook.plans[0];
  return (
    <section class="panel" aria-labelledby="lay-up-title">
      <div>
        <h2 id="lay-up-title">{words.title}</h2>
        <p class="soft">{words.lead}</p>
      </div>
      {chosen === undefined ? (
        <p>{words.none}</p>
      ) : (
        <>
          <PickField
            label={words.what}
            options={outlook.plans.map((each) => ({
              value: keyOf(each),
              label: each.label === each.title ? each.label : `${each.label}: ${each.title}`,
            }))}
            value={keyOf(chosen)}
            onChange={(value) => {
              picked.value = value;
            }}
          />
          <Planned key={keyOf(chosen)} {...{ outlook, chosen, start, by, dueMs }} plan={chosen.plan} />
        </>
      )}
    </section>
  );
}

const keyOf = ({ schedule, part, label }: Plans[number]) => JSON.stringify([schedule, part, label]);

interface PlannedProps {
  outlook: SumpOutlook;
  chosen: Plans[number];
  plan: LayUpPlan;
  start: Signal<number>;
  by: Signal<number | null>;
  dueMs: number | null;
}

function Planned({ outlook, chosen, plan, start, by, dueMs }: PlannedProps) {
  const { use, mix } = chosen;
  const material = useSignal<number | null>(
    use === null ? Math.round(plan.materialMilliC / 100) / 10 : (use.minCelsius + use.maxCelsius) / 2,
  );
  const stages = plan.input.stages.map(({ stage }) => stage);
  const stage = useSignal(stages.at(-1) ?? '');
  const startMs = start.value;
  const byMs = by.value ?? dueMs ?? startMs + DAY_MS;
  // A field shows no seconds.
  const minuteMs = Math.floor(now.value / MINUTE_MS) * MINUTE_MS;
  const [startFault, byFault] = [whenFault(startMs, minuteMs), whenFault(byMs, minuteMs)];
  const isOutside = material.value !== null && materialStanding(material.value, use) !== 'within';
  const ours = useMemo(
    () => ({ ...plan, materialMilliC: material.value === null ? plan.materialMilliC : Math.round(material.value * 1000) }),
    [plan, material.value],
  );
  const question = useMemo(
    () => (startFault === null ? { plan: ours, atMs: Math.max(startMs, ours.input.nowMs) } : null),
    [ours, startMs, startFault],
  );
  const lateQuestion = useMemo(
    () => (byFault === null ? { plan: ours, stage: stage.value, byMs } : null),
    [ours, stage.value, byMs, byFault],
  );
  const ready = useSolved('layUp', question);
  const latest = useSolved('latest', lateQuestion);
  const latestMs = latest.answer?.value;
  const stageNames = Object.fromEntries(stages.map((each) => [each, text.stage[each] ?? each]));
  return (
    <>
      <div class="plan-fields">
        <WhenField
          label={words.start}
          path=""
          problem={null}
          atMs={startMs}
          nowMs={now.value}
          fault={startFault && faultWords[startFault]}
          onChange={(atMs) => {
            start.value = atMs;
          }}
        />
        <TemperatureField
          label={words.material}
          hint={use === null ? words.noUse : words.materialHint(limit(use.minCelsius), limit(use.maxCelsius))}
          path=""
          problem={null}
          celsius={material}
        />
      </div>
      {isOutside && <Outside />}
      <div role="status" aria-busy={ready.busy} class={isOutside ? 'is-outside' : ''}>
        {startFault !== null ? (
          <p class="soft">{words.notAsked}</p>
        ) : ready.answer === null ? (
          <p class="soft">{words.working}</p>
        ) : (
          <dl class={`facts lay-up-stages ${ready.busy ? 'is-stale' : ''}`}>
            {ready.answer.value.map((each) => (
              <div key={each.stage}>
                <dt>{words.clears(text.stage[each.stage] ?? each.stage)}</dt>
                <dd>
                  <Likely times={each.ready} />
                </dd>
              </div>
            ))}
          </dl>
        )}
      </div>
      <div class="lay-up-latest">
        <h3>{words.latestTitle}</h3>
        {stages.length > 1 && (
          <Choice
            label={words.stage}
            names={stageNames}
            value={stage.value}
            onChoose={(value) => {
              stage.value = value;
            }}
          />
        )}
        <WhenField
          label={words.by}
          path=""
          problem={null}
          atMs={byMs}
          nowMs={now.value}
          fault={byFault && faultWords[byFault]}
          onChange={(atMs) => {
            by.value = atMs;
          }}
        />
        <p role="status" class={latest.busy ? 'is-stale' : isOutside ? 'is-outside' : ''}>
          {byFault !== null ? (
            <span class="soft">{words.notAsked}</span>
          ) : latestMs === undefined ? (
            <span class="soft">{words.working}</span>
          ) : latestMs === null ? (
            <b>{words.latestNone}</b>
          ) : (
            <>
              <b>{words.latest(moment(latestMs, now.value))}</b> {words.latestMeans}
            </>
          )}
        </p>
        {isOutside && byFault === null && <Outside />}
      </div>
      <p class="soft">{restsOn(plan)}</p>
      {startFault === null && (
        <HourNotes input={ours.input} past={outlook.past} use={use} mix={mix} atMs={startMs} materialCelsius={material.value} />
      )}
    </>
  );
}

const faultWords = { passed: words.startPassed, beyond: words.beyond };

function Outside() {
  return (
    <p class="why is-doubt">
      <Icon name="warning" />
      <span>{words.outside}</span>
    </p>
  );
}

/** How a joint that nobody has measured yet is taken to follow its air. */
function restsOn({ input: { lag } }: LayUpPlan): string {
  const { level, above, below, site, usual, lag: told } = words.rests;
  const { timeConstantMs, offsetMilliC } = lag;
  const by = difference(Math.abs(offsetMilliC) / 1000);
  const settles = Math.abs(offsetMilliC) < LEVEL_MILLI_C ? level : offsetMilliC > 0 ? above(by) : below(by);
  const isUsual = timeConstantMs === DEFAULT_LAG.timeConstantMs && offsetMilliC === DEFAULT_LAG.offsetMilliC;
  return (isUsual ? usual : site)(told(hoursPlain(timeConstantMs / HOUR_MS), settles));
}
