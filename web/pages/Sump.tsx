import type { Signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { Link } from 'wouter-preact';
import type { SumpView } from '../../edge/site/views/sump.ts';
import { warningsAbout } from '../answer/warning.ts';
import { mayWrite } from '../live/session.ts';
import { joints as allJoints, head, sumps, warnings } from '../live/store.ts';
import { Caution } from '../parts/Caution.tsx';
import { Icon } from '../parts/Icon.tsx';
import { lazy } from '../parts/lazy.tsx';
import { Missing } from '../parts/Missing.tsx';
import { PhaseMark, PhaseName } from '../parts/PhaseMark.tsx';
import { findingText } from '../text/findingText.ts';
import { text } from '../text/text.ts';
import { workText } from '../text/workText.ts';
import { Activities } from './crew/Activities.tsx';
import { BackfillLine } from './crew/BackfillLine.tsx';
import { EarlyNotes } from './crew/EarlyNotes.tsx';
import { FindingList } from './crew/FindingList.tsx';
import { RainButtons } from './crew/Rain.tsx';
import { RainNote } from './crew/RainNote.tsx';
import { type AnswerNow, answerNow, SumpAnswer } from './crew/SumpAnswer.tsx';
import { SumpRecord } from './crew/SumpRecord.tsx';
import '../style/joint.css';
import '../style/work.css';

const Warnings = lazy(() => import('./warnings/Warnings.tsx').then((module) => module.Warnings));
const Calendar = lazy(() => import('./ahead/Calendar.tsx').then((module) => module.Calendar));
const HeatButtons = lazy(() => import('./ahead/HeatButtons.tsx').then((module) => module.HeatButtons));
const WaterTest = lazy(() => import('./crew/WaterTest.tsx').then((module) => module.WaterTest));

/** Everything about one sump: the answer, its order of work, its water test, its findings. */
export function SumpPage({ sump }: { sump: string }) {
  const found = sumps.value.get(sump);
  if (head.value === null) return <p class="waiting">{text.page.waiting}</p>;
  if (found === undefined) return <Missing words={text.work.sump.missing} />;
  return <Known sump={found} />;
}

function Known({ sump }: { sump: Signal<SumpView> }) {
  const view = sump.value;
  const answer = answerNow(view);
  const isLost = answer.lostMs !== null;
  const joints = view.joints.flatMap((name) => allJoints.value.get(name)?.value ?? []);
  const findings = [...view.findings, ...joints.flatMap((joint) => joint.findings)];
  useEffect(() => {
    // The browser looked for the anchor before this page was there.
    if (window.location.hash !== '') document.getElementById(window.location.hash.slice(1))?.scrollIntoView();
  }, []);
  // While it is on, the test is what this page is opened for.
  const isTesting = view.activities.some(({ waterTest, state }) => waterTest && state === 'started');
  const test = (
    <section class="panel" id="water-test" key="water-test" aria-labelledby="water-test-title">
      <h2 id="water-test-title">{workText.waterTest.title}</h2>
      <WaterTest view={view} />
    </section>
  );
  return (
    <div class="page sump-page">
      <div class="joint-head">
        <Link href="/" class="back">
          <Icon name="back" />
          {text.nav.now}
        </Link>
        <h1 tabIndex={-1}>{view.label}</h1>
        {view.serial !== null && <p class="soft">{text.work.sump.serial(view.serial)}</p>}
      </div>
      {warningsAbout(warnings.value, { sump: view.sump }).length > 0 && <Warnings of={{ sump: view.sump }} />}
      <section class={`panel sump-answer ${answer.look}`} aria-label={text.now.fill}>
        <SumpAnswer view={view} now={answer} />
        <EarlyNotes view={view} />
        <BackfillLine view={view} isLost={isLost} />
        <RainNote sump={view.sump} />
        {mayWrite() && (
          <div class="sump-buttons">
            <RainButtons sump={view.sump} />
            {view.joints.length > 0 && <HeatButtons scope={{ sump: view.sump }} />}
          </div>
        )}
      </section>
      <section class="panel" id="ahead" aria-labelledby="ahead-title">
        <h2 id="ahead-title">{workText.ahead}</h2>
        <Calendar view={view} joints={answer.present} isLost={isLost} />
      </section>
      {isTesting && test}
      <div class="sump-pair">
        <section class="panel" aria-labelledby="activities-title">
          <div>
            <h2 id="activities-title">{text.work.activities.title}</h2>
            <p class="soft">{text.work.activities.sequence(view.sequence.title, view.sequence.version)}</p>
          </div>
          <Activities view={view} joints={answer.present} isLost={isLost} />
          <p class="soft">{text.work.sump.source(view.sequence.source)}</p>
        </section>
        <div class="sump-side">
          <JointLinks present={answer.present} />
          <section class="panel" id="findings" aria-labelledby="findings-title">
            <h2 id="findings-title">{findingText.title}</h2>
            {findings.length === 0 ? <p class="soft">{findingText.none}</p> : <FindingList findings={findings} placed />}
          </section>
        </div>
      </div>
      {!isTesting && test}
      <SumpRecord view={view} />
      <Caution />
    </div>
  );
}

function JointLinks({ present }: { present: AnswerNow['present'] }) {
  if (present.length === 0) return null;
  return (
    <section class="panel" aria-labelledby="joints-title">
      <h2 id="joints-title">{text.work.sump.joints}</h2>
      <ul class="joint-links">
        {present.map(({ view, facts }) => (
          <li key={view.joint}>
            <Link href={`/joints/${encodeURIComponent(view.joint)}`} class={facts.stale ? 'is-stale' : ''}>
              <PhaseMark phase={view.phase} />
              <span>
                <b>{view.label}</b>
                <br />
                <PhaseName phase={view.phase} past={facts.lost} />
              </span>
              <Icon name="onward" />
            </Link>
          </li>
        ))}
      </ul>
    </section>
  );
}
