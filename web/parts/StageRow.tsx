import type { JointView } from '../../edge/site/views/joint.ts';
import type { StageView } from '../../edge/site/views/stage.ts';
import { type JointFacts, standing } from '../answer/joint.ts';
import { stageAhead } from '../answer/outlook.ts';
import { now } from '../live/clock.ts';
import { dated, expectedMoment, hoursDone, hoursPlain, hoursToGo, moment } from '../look/format.ts';
import { text } from '../text/text.ts';
import { Icon } from './Icon.tsx';
import { Likely } from './Likely.tsx';
import { lazy } from './lazy.tsx';

const Blockers = lazy(() => import('./Blockers.tsx').then((module) => module.Blockers));

interface Props {
  stage: StageView;
  view: JointView;
  facts: JointFacts;
  /** The date stands in full: the page may be printed and kept. */
  inFull?: boolean;
}

/** One stage: its hours as number and bar, what is missing, and when it will be there as it looks. */
export function StageRow({ stage, view, facts, inFull = false }: Props) {
  const state = standing(stage);
  const done = state === 'open' ? Math.min(view.warmHours, stage.requiredHours) : stage.requiredHours;
  const name = text.stage[stage.stage] ?? stage.stage;
  const required = hoursPlain(stage.requiredHours);
  const shown = state === 'open' ? hoursDone(done) : required;
  const counting = facts.whyNot === null && !facts.done;
  const look = facts.lost
    ? 'is-past'
    : state === 'blocked'
      ? 'is-blocked'
      : state === 'reached'
        ? 'is-reached'
        : counting
          ? 'is-counting'
          : 'is-idle';
  const isBlocked = stage.blockedBy.length > 0;
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
          <Expectation stage={stage} view={view} facts={facts} counting={counting} />
        ) : (
          <Reached at={said(Date.parse(stage.reachedAt))} isBlocked={isBlocked} lost={facts.lost} />
        )}
        {isBlocked && <Blockers findings={view.findings} ids={stage.blockedBy} isReached={stage.reachedAt !== null} />}
      </div>
    </div>
  );
}

/** A stage of a joint with nothing left to say about it, in one line. */
export function StageDone({ stage: { stage, reachedAt }, facts }: Pick<Props, 'stage' | 'facts'>) {
  if (reachedAt === null) return null;
  return (
    <p class={`stage-done ${facts.lost ? 'is-past' : 'is-reached'}`}>
      <span class="stage-name">{text.stage[stage] ?? stage}</span>{' '}
      <Reached at={moment(Date.parse(reachedAt), now.value)} isBlocked={false} lost={facts.lost} />
    </p>
  );
}

/** `isBlocked`: findings keep it blocked although its hours are there. */
function Reached({ at, isBlocked, lost }: { at: string; isBlocked: boolean; lost: boolean }) {
  return (
    <span class="stage-reached">
      {!isBlocked && !lost && <Icon name="check" />}
      {isBlocked && <Icon name="stop" />}
      <span>{lost ? text.now.wasReached(at) : text.now.reached(at)}</span>
    </span>
  );
}

interface ExpectationProps extends Omit<Props, 'inFull'> {
  counting: boolean;
}

/** While somebody has to decide first, no time is named; without an outlook none either while nothing is credited. */
function Expectation({ stage, view, facts, counting }: ExpectationProps) {
  const ahead = stageAhead(view, stage, facts);
  return (
    <>
      <span>{text.now.toGo(hoursToGo(stage.remainingHours))}</span>
      {ahead !== null && (
        <Likely times={ahead.times} air={ahead.air} isPast={facts.lost} isHeated={view.heating?.what === 'heater'} />
      )}
      {ahead === null && counting && stage.ifHeldAt !== null && stage.blockedBy.length === 0 && (
        <span class="stage-when">
          {text.now.ifItStays} <b>{expectedMoment(Date.parse(stage.ifHeldAt), now.value)}</b>
        </span>
      )}
    </>
  );
}
