import { useSignal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import type { SumpView } from '../../../edge/site/views/sump.ts';
import { backTo, STEPS, type Step, stepOf } from '../../answer/waterTest.ts';
import { mayWrite } from '../../live/session.ts';
import { Cautions } from '../../parts/Cautions.tsx';
import { Icon } from '../../parts/Icon.tsx';
import { text } from '../../text/text.ts';
import { workText } from '../../text/workText.ts';
import { FillStep, HoldStep, SettleStep } from './WaterTestSteps.tsx';
import { WaterTests } from './WaterTests.tsx';
import { VerdictStep } from './WaterTestVerdict.tsx';
import { useDraft } from './waterTestDraft.ts';
import '../../style/waterTest.css';

/** The water test of a sump: guided, one step after the other, with what was tested before below. */
export function WaterTest({ view }: { view: SumpView }) {
  const activity = view.activities.find(({ waterTest }) => waterTest);
  const isHeld = view.undecided.length > 0;
  return (
    <div class="water-test">
      {activity !== undefined && activity.state === 'done' && (
        <p class={`why ${isHeld ? 'is-doubt' : 'is-well'}`}>
          <Icon name={isHeld ? 'warning' : 'check'} />
          <span>
            {workText.waterTest.passed} {isHeld && text.now.blocked(view.undecided.length)}
          </span>
        </p>
      )}
      {activity !== undefined && (activity.state === 'waiting' || activity.state === 'ready') && (
        <p class="soft">{workText.waterTest.notStarted}</p>
      )}
      {activity?.state === 'started' && mayWrite() ? (
        <Guide view={view} startedAt={activity.startedAt} />
      ) : (
        activity?.state !== 'done' && <Dangers />
      )}
      <WaterTests tests={view.tests} />
    </div>
  );
}

function Dangers() {
  return <Cautions title={workText.waterTest.cautions} cautions={workText.waterTest.caution} />;
}

/** Who comes back to read the level finds the step first; before the filling the dangers come first. */
function Guide({ view, startedAt }: { view: SumpView; startedAt: string | null }) {
  const kept = useDraft(view.sump);
  const sure = useSignal(false);
  const draft = kept.draft.value;
  const step = stepOf(draft);
  const at = STEPS.indexOf(step);
  const steps = useRef<HTMLOListElement>(null);
  const shown = useRef(step);
  useEffect(() => {
    if (shown.current !== step) steps.current?.querySelector('.is-now')?.scrollIntoView({ block: 'start' });
    shown.current = step;
  }, [step]);
  const again = (to: Step) => () => {
    kept.draft.value = backTo(draft, to);
  };
  const forget = () => {
    if (sure.value) kept.forget();
    sure.value = !sure.value;
  };
  return (
    <>
      {at === 0 && <Dangers />}
      <p>{workText.waterTest.lead}</p>
      <ol class="steps" ref={steps}>
        {STEPS.map((each, index) => (
          <li key={each} class={`step ${index < at ? 'is-over' : index === at ? 'is-now' : 'is-later'}`}>
            <div class="step-top">
              <h3>
                {index < at && <Icon name="check" />}
                {workText.waterTest.step(index + 1, workText.waterTest.steps[each])}
              </h3>
              {index < at && (
                <button type="button" class="button quiet" onClick={again(each)}>
                  {workText.waterTest.change}
                </button>
              )}
            </div>
            {each === 'fill' && (
              <FillStep
                kept={kept}
                isNow={step === 'fill'}
                isOver={at > 0}
                begunMs={startedAt === null ? null : Date.parse(startedAt)}
              />
            )}
            {each === 'settle' && at >= 1 && <SettleStep kept={kept} isNow={step === 'settle'} />}
            {each === 'hold' && at >= 2 && <HoldStep kept={kept} isNow={step === 'hold'} />}
            {each === 'verdict' && step === 'verdict' && <VerdictStep view={view} kept={kept} />}
          </li>
        ))}
      </ol>
      <button type="button" class="button quiet" onClick={forget}>
        {sure.value ? workText.waterTest.startOverSure : workText.waterTest.startOver}
      </button>
      {at > 0 && <Dangers />}
    </>
  );
}
