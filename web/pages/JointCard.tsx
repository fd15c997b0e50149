import type { Signal } from '@preact/signals';
import { Link } from 'wouter-preact';
import type { Condition, JointView } from '../../edge/site/views/joint.ts';
import { waits } from '../answer/findings.ts';
import type { JointFacts } from '../answer/joint.ts';
import { useFacts } from '../live/facts.ts';
import { jointOfSump } from '../live/store.ts';
import { hoursDone } from '../look/format.ts';
import { Icon, type IconName } from '../parts/Icon.tsx';
import { lazy } from '../parts/lazy.tsx';
import { MixTimes } from '../parts/MixTimes.tsx';
import { PhaseMark, PhaseName } from '../parts/PhaseMark.tsx';
import { Reading } from '../parts/Reading.tsx';
import { SilentProbes } from '../parts/SilentProbes.tsx';
import { StageDone, StageRow } from '../parts/StageRow.tsx';
import { thresholdsOf } from '../parts/thresholds.ts';
import { WhyNot } from '../parts/WhyNot.tsx';
import { text } from '../text/text.ts';

/** One joint at a glance. The whole card leads to the joint's own page. */
export function JointCard({ joint }: { joint: Signal<JointView> }) {
  const view = joint.value;
  const facts = useFacts(joint).value;
  return (
    <li class={`joint-card ${facts.stale ? 'is-stale' : ''}`}>
      <div class="joint-top">
        <PhaseMark phase={view.phase} />
        <div class="joint-title">
          <h3>
            <Link href={`/joints/${encodeURIComponent(view.joint)}`} class="joint-link" aria-label={jointOfSump(view.joint)}>
              {view.label}
            </Link>
          </h3>
          <p class="joint-states">
            <PhaseName phase={view.phase} past={facts.lost} />
            <Conditions view={view} facts={facts} />
            <FindingsTag view={view} />
          </p>
        </div>
        <span class="joint-onward">
          <Icon name="onward" />
        </span>
      </div>
      {isSettled(view) ? (
        <div class="stages-done">
          {view.stages.map((stage) => (
            <StageDone key={stage.stage} stage={stage} facts={facts} />
          ))}
        </div>
      ) : (
        <Rest view={view} facts={facts} />
      )}
    </li>
  );
}

/** Every hour is there and nothing waits for anybody: the card says so and takes no more room. */
function isSettled({ phase, stages, findings }: JointView): boolean {
  return phase === 'hydroReady' && stages.every(({ reachedAt }) => reachedAt !== null) && !findings.some(waits);
}

function Rest({ view, facts }: { view: JointView; facts: JointFacts }) {
  return (
    <>
      <Reading view={view} facts={facts} />
      <WhyNot view={view} facts={facts} />
      <SilentProbes view={view} facts={facts} />
      {view.heating !== null && <Heating view={view} isLost={facts.lost} />}
      <MixTimes view={view} facts={facts} />
      {view.dew !== null && !view.dew.enough && !facts.lost && (
        <DewNote surfaceCelsius={view.dew.surfaceCelsius} dewPointCelsius={view.dew.dewPointCelsius} isLive />
      )}
      {view.laidUpAt === null ? (
        <NotLaidUp view={view} />
      ) : (
        <div class="stages">
          {view.stages.map((stage) => (
            <StageRow key={stage.stage} stage={stage} view={view} facts={facts} />
          ))}
        </div>
      )}
      {view.conditions.includes('provisional') && (
        <p class="soft">{text.now.provisionalNote(hoursDone(view.provisionalHours))}</p>
      )}
      <p class="joint-foot">{text.now.schedule(view.scheduleDetail.title, thresholdsOf(view))}</p>
    </>
  );
}

/** How many findings on the joint wait for somebody. */
function FindingsTag({ view }: { view: JointView }) {
  const open = view.findings.filter(waits);
  if (open.length === 0) return null;
  const isStop = open.some(({ severity }) => severity === 'stop');
  return (
    <span class={`tag ${isStop ? 'is-stop' : 'is-warning'}`}>
      <Icon name={isStop ? 'stop' : 'warning'} />
      {text.findings.count(open.length)}
    </span>
  );
}

/** What only some joints show. */
const DewNote = lazy(() => import('../parts/DewNote.tsx').then((module) => module.DewNote));
const NotLaidUp = lazy(() => import('./NotLaidUp.tsx').then((module) => module.NotLaidUp));
const Heating = lazy(() => import('./ahead/Heating.tsx').then((module) => module.Heating));

const conditionIcons: Record<Condition | 'lost', IconName> = {
  cold: 'cold',
  unproven: 'unproven',
  silent: 'silent',
  provisional: 'provisional',
  projectedLate: 'projectedLate',
  lost: 'lost',
};

/** Conditions stand beside the phase, never instead of it. What only the live link can know is left out while it is down. */
export function Conditions({ view, facts }: { view: JointView; facts: JointFacts }) {
  const shown: (Condition | 'lost')[] = view.conditions.filter(
    (condition) => condition === 'provisional' || condition === 'projectedLate',
  );
  if (facts.lost) shown.unshift('lost');
  else if (facts.whyNot === 'cold') shown.unshift('cold');
  else if (facts.whyNot !== null && !['planned', 'void', 'notRecording'].includes(facts.whyNot)) shown.unshift('unproven');
  if (facts.silent.length > 0) shown.push('silent');
  return (
    <>
      {shown.map((condition) => (
        <span key={condition} class={`tag is-${condition}`}>
          <Icon name={conditionIcons[condition]} />
          {text.now.condition[condition]}
        </span>
      ))}
    </>
  );
}
