import { useSignal } from '@preact/signals';
import { useMemo } from 'preact/hooks';
import type { LayUpPlan } from '../../../edge/cure/outlook/layUp.ts';
import type { SumpOutlook } from '../../api/shapes.ts';
import { now } from '../../live/clock.ts';
import { limit, moment } from '../../look/format.ts';
import { nextQuarter } from '../../look/siteTime.ts';
import { Choice } from '../../parts/Choice.tsx';
import { Likely } from '../../parts/Likely.tsx';
import { TemperatureField } from '../../parts/NumberField.tsx';
import { planText } from '../../text/planText.ts';
import { text } from '../../text/text.ts';
import { HourNotes } from './HourNotes.tsx';
import { PickField } from './PickField.tsx';
import { useSolved } from './useSolved.ts';
import { WhenField } from './WhenField.tsx';

const words = planText.layUp;
const SOON_MS = 30 * 60_000;

type Plans = SumpOutlook['plans'];

/** When a joint that is still to be laid up would be ready, how late it can be begun, and what that hour will be like. */
export function LayUpAhead({ outlook, dueMs }: { outlook: SumpOutlook; dueMs: number | null }) {
  const place = useSignal(0);
  const chosen = outlook.plans[place.value] ?? outlook.plans[0];
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
            options={outlook.plans.map(({ label, title }, index) => ({
              value: String(index),
              label: label === title ? label : `${label}: ${title}`,
            }))}
            value={String(outlook.plans.indexOf(chosen))}
            onChange={(value) => {
              place.value = Number(value);
            }}
          />
          <Planned key={place.value} outlook={outlook} chosen={chosen} plan={chosen.plan} dueMs={dueMs} />
        </>
      )}
    </section>
  );
}

interface PlannedProps {
  outlook: SumpOutlook;
  chosen: Plans[number];
  plan: LayUpPlan;
  dueMs: number | null;
}

function Planned({ outlook, chosen, plan, dueMs }: PlannedProps) {
  const { use, mix } = chosen;
  const start = useSignal(nextQuarter(now.peek() + SOON_MS));
  const material = useSignal<number | null>(
    use === null ? Math.round(plan.materialMilliC / 100) / 10 : (use.minCelsius + use.maxCelsius) / 2,
  );
  /** Null: what is chosen above. */
  const by = useSignal<number | null>(null);
  const stages = plan.input.stages.map(({ stage }) => stage);
  const stage = useSignal(stages.at(-1) ?? '');
  const startMs = Math.max(start.value, plan.input.nowMs);
  const byMs = by.value ?? dueMs ?? startMs + 24 * 3_600_000;
  const ours = useMemo(
    () => ({ ...plan, materialMilliC: material.value === null ? plan.materialMilliC : Math.round(material.value * 1000) }),
    [plan, material.value],
  );
  const question = useMemo(() => ({ plan: ours, atMs: startMs }), [ours, startMs]);
  const lateQuestion = useMemo(() => ({ plan: ours, stage: stage.value, byMs }), [ours, stage.value, byMs]);
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
          leastMs={now.value}
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
      <div role="status" aria-busy={ready.busy}>
        {ready.answer === null ? (
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
          leastMs={now.value}
          onChange={(atMs) => {
            by.value = atMs;
          }}
        />
        <p role="status" class={latest.busy ? 'is-stale' : ''}>
          {latestMs === undefined ? (
            <span class="soft">{words.working}</span>
          ) : latestMs === null ? (
            <b>{words.latestNone}</b>
          ) : (
            <>
              <b>{words.latest(moment(latestMs, now.value))}</b> {words.latestMeans}
            </>
          )}
        </p>
      </div>
      <HourNotes input={ours.input} past={outlook.past} use={use} mix={mix} atMs={startMs} materialCelsius={material.value} />
    </>
  );
}
