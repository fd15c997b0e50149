import type { JointView, StageView } from '../../edge/site/views.ts';
import { type JointFacts, standing } from '../answer/joint.ts';
import { now } from '../live/clock.ts';
import { dated, expectedMoment, hoursDone, hoursPlain, hoursToGo, moment } from '../look/format.ts';
import { text } from '../text/text.ts';
import { Icon } from './Icon.tsx';

interface Props {
  stage: StageView;
  view: JointView;
  facts: JointFacts;
  /** The date stands in full: the page may be printed and kept. */
  inFull?: boolean;
}

/** One stage: its hours as number and bar, what is missing, and when it would be there if nothing changed. */
export function StageRow({ stage, view, facts, inFull = false }: Props) {
  const state = standing(stage);
  const done = state === 'open' ? Math.min(view.warmHours, stage.requiredHours) : stage.requiredHours;
  const name = text.stage[stage.stage] ?? stage.stage;
  const required = hoursPlain(stage.requiredHours);
  const shown = state === 'open' ? hoursDone(done) : required;
  const counting = facts.whyNot === null && !facts.done;
  const look = facts.lost ? 'is-past' : state === 'reached' ? 'is-reached' : counting ? 'is-counting' : 'is-idle';
  const said = (ms: number) => (inFull ? dated(ms) : moment(ms, now.value));
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
          <Expectation stage={stage} counting={counting} />
        ) : (
          <Reached at={said(Date.parse(stage.reachedAt))} blocked={state === 'blocked'} lost={facts.lost} />
        )}
      </div>
    </div>
  );
}

function Reached({ at, blocked, lost }: { at: string; blocked: boolean; lost: boolean }) {
  return (
    <span class="stage-reached">
      {!blocked && !lost && <Icon name="check" />}
      {lost ? text.now.wasReached(at) : text.now.reached(at)}
      {blocked && <>, {text.now.provisionalStage}</>}
    </span>
  );
}

/** While nothing is credited no time is named. */
function Expectation({ stage, counting }: { stage: StageView; counting: boolean }) {
  return (
    <>
      <span>{text.now.toGo(hoursToGo(stage.remainingHours))}</span>
      {counting && stage.ifHeldAt !== null && (
        <span class="stage-when">
          {text.now.ifItStays} <b>{expectedMoment(Date.parse(stage.ifHeldAt), now.value)}</b>
        </span>
      )}
    </>
  );
}
