import type { JointView, StageView } from '../../edge/site/views.ts';
import { type JointFacts, standing } from '../answer/joint.ts';
import { now } from '../live/clock.ts';
import { expectedMoment, hoursDone, hoursPlain, hoursToGo, moment, temperature } from '../look/format.ts';
import { text } from '../text/text.ts';
import { Icon } from './Icon.tsx';

/** One stage: its hours as number and bar, what is missing, and when it would be there if nothing changed. */
export function StageRow({ stage, view, facts }: { stage: StageView; view: JointView; facts: JointFacts }) {
  const state = standing(stage);
  const done = state === 'open' ? Math.min(view.warmHours, stage.requiredHours) : stage.requiredHours;
  const name = text.stage[stage.stage] ?? stage.stage;
  const required = hoursPlain(stage.requiredHours);
  const shown = state === 'open' ? hoursDone(done) : required;
  const counting = facts.whyNot === null && !facts.done;
  const look = facts.lost ? 'is-past' : state === 'reached' ? 'is-reached' : counting ? 'is-counting' : 'is-idle';
  return (
    <div class={`stage ${look}`}>
      <div class="stage-top">
        <span class="stage-name">{name}</span>
        <span class="stage-hours">
          <b>{shown}</b> {text.now.ofHours(required)}
        </span>
      </div>
      <div
        class="bar"
        aria-hidden="true"
        style={{ '--done': `${(100 * done) / stage.requiredHours}%`, '--hours': stage.requiredHours }}
      >
        <div class="bar-done" />
      </div>
      <div class="stage-foot">
        {stage.reachedAt === null ? (
          <Expectation stage={stage} celsius={counting ? (view.governing?.celsius ?? null) : null} />
        ) : (
          <Reached atMs={Date.parse(stage.reachedAt)} blocked={state === 'blocked'} lost={facts.lost} />
        )}
      </div>
    </div>
  );
}

function Reached({ atMs, blocked, lost }: { atMs: number; blocked: boolean; lost: boolean }) {
  const at = moment(atMs, now.value);
  return (
    <span class="stage-reached">
      {!blocked && !lost && <Icon name="check" />}
      {lost ? text.now.wasReached(at) : text.now.reached(at)}
      {blocked && <>, {text.now.provisionalStage}</>}
    </span>
  );
}

/** `celsius`: the temperature that a named time assumes; null while nothing is credited, and then no time is named. */
function Expectation({ stage, celsius }: { stage: StageView; celsius: number | null }) {
  return (
    <>
      <span>{text.now.toGo(hoursToGo(stage.remainingHours))}</span>
      {celsius !== null && stage.ifHeldAt !== null && (
        <span class="stage-when">
          {text.now.ifItStays(temperature(celsius))} <b>{expectedMoment(Date.parse(stage.ifHeldAt), now.value)}</b>
        </span>
      )}
    </>
  );
}
