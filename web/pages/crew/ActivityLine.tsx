import type { ComponentChildren } from 'preact';
import type { ActivityView, NeedView } from '../../../edge/site/views/activity.ts';
import type { SumpView } from '../../../edge/site/views/sump.ts';
import { type ActivityLook, activityAhead, lookOf, whenOf } from '../../answer/activity.ts';
import type { JointNow } from '../../answer/sump.ts';
import { now } from '../../live/clock.ts';
import { dated, expectedMoment, hoursToGo } from '../../look/format.ts';
import { Icon, type IconName } from '../../parts/Icon.tsx';
import { Likely } from '../../parts/Likely.tsx';
import { text } from '../../text/text.ts';
import { needWords } from './needWords.ts';

const icons: Record<ActivityLook, IconName> = {
  waiting: 'wait',
  ready: 'start',
  started: 'working',
  done: 'check',
  unknown: 'lost',
};

interface Props {
  activity: ActivityView;
  sump: SumpView;
  joints: readonly JointNow[];
  isLost: boolean;
  /** Buttons, where the whole order of work stands. */
  children?: ComponentChildren;
}

/** One activity: whether it may start, and if not, what is missing and until when. */
export function ActivityLine({ activity, sump, joints, isLost, children }: Props) {
  const look = lookOf(activity, isLost);
  const words = text.work.activities;
  const missing = activity.needs.filter(({ met }) => !met);
  const ahead = activityAhead(activity, joints);
  const { startedAt, startedBy, doneAt, doneBy, early } = activity;
  return (
    <li class={`activity is-${look}`}>
      <span class="activity-mark">
        <Icon name={icons[look]} />
      </span>
      <div class="activity-body">
        <p class="activity-top">
          <b>{activity.label}</b> <span class="activity-state">{words.state[look]}</span>
        </p>
        {look === 'unknown' && <p class="soft">{words.was(words.state[activity.state])}</p>}
        {doneAt !== null ? (
          <p class="soft">{words.doneAt(dated(Date.parse(doneAt)), doneBy ?? '')}</p>
        ) : (
          startedAt !== null && <p class="soft">{words.startedAt(dated(Date.parse(startedAt)), startedBy ?? '')}</p>
        )}
        {early !== null && (
          <p class="activity-early">
            <Icon name="warning" />
            <span>{words.early(startedBy ?? '', early.reason)}</span>
          </p>
        )}
        {activity.state === 'waiting' && activity.part !== null && activity.joint === null && (
          <p class="soft">{words.addFirst}</p>
        )}
        {look === 'waiting' && missing.length > 0 && (
          <ul class="needs">
            {missing.map((need) => (
              <NeedLine
                key={JSON.stringify([need.need, need.part, need.activity, need.hold?.hold])}
                need={need}
                isTimed={ahead === null}
                isHeld={missing.some(({ need: other }) => other === 'decided')}
                sump={sump}
                joints={joints}
              />
            ))}
          </ul>
        )}
        {look === 'waiting' && ahead !== null && (
          <p class="soft">
            <Likely times={ahead} />
          </p>
        )}
        {children}
      </div>
    </li>
  );
}

interface NeedProps {
  need: NeedView;
  /** Nothing lies ahead to name a time by, so it is named as things are now. */
  isTimed: boolean;
  /** Somebody has to decide before the activity may start, so no time is named. */
  isHeld: boolean;
  sump: SumpView;
  joints: readonly JointNow[];
}

function NeedLine({ need, isTimed, isHeld, sump, joints }: NeedProps) {
  const words = text.work.activities;
  const when = whenOf(need, joints);
  const isVoid = joints.some(({ view }) => view.joint === need.joint && view.phase === 'void');
  const said: string[] = [];
  if (need.need === 'stage' || need.need === 'allJoints') {
    if (isVoid) said.push(words.redo);
    else if (need.missingHours !== null && need.missingHours > 0) said.push(words.missing(hoursToGo(need.missingHours)));
    if (!isVoid && need.findings.length > 0)
      said.push(need.missingHours === 0 ? words.blocked(need.findings.length) : words.stopped);
    if (when?.kind === 'held' && isTimed && !isHeld) said.push(words.held(expectedMoment(when.atMs, now.value)));
    else if (when?.kind === 'none' && isTimed && !isVoid) said.push(words.noTime(text.now.noTimeWhy[when.why]));
  }
  return (
    <li>
      {needWords(need, sump)}
      {said.length > 0 && <span class="soft"> – {said.join('; ')}</span>}
    </li>
  );
}
