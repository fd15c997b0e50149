import type { Signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { Link } from 'wouter-preact';
import type { JointView } from '../../edge/site/views/joint.ts';
import type { JointFacts } from '../answer/joint.ts';
import { sharesOf } from '../answer/shares.ts';
import { warningsAbout } from '../answer/warning.ts';
import { now } from '../live/clock.ts';
import { useFacts } from '../live/facts.ts';
import { mayWrite } from '../live/session.ts';
import { head, joints, sumpName, warnings } from '../live/store.ts';
import { dated, hoursDone, moment } from '../look/format.ts';
import { Caution } from '../parts/Caution.tsx';
import { DewNote } from '../parts/DewNote.tsx';
import { Icon } from '../parts/Icon.tsx';
import { lazy } from '../parts/lazy.tsx';
import { Missing } from '../parts/Missing.tsx';
import { MixTimes } from '../parts/MixTimes.tsx';
import { PhaseMark, PhaseName } from '../parts/PhaseMark.tsx';
import { Reading } from '../parts/Reading.tsx';
import { ScheduleNote } from '../parts/ScheduleNote.tsx';
import { SilentProbes } from '../parts/SilentProbes.tsx';
import { StageRow } from '../parts/StageRow.tsx';
import { thresholdsOf } from '../parts/thresholds.ts';
import { WhyNot } from '../parts/WhyNot.tsx';
import { findingText } from '../text/findingText.ts';
import { jointText } from '../text/jointText.ts';
import { text } from '../text/text.ts';
import { FindingList } from './crew/FindingList.tsx';
import { RainNote } from './crew/RainNote.tsx';
import { RedoNote } from './crew/RedoNote.tsx';
import { JointActions } from './JointActions.tsx';
import { Conditions } from './JointCard.tsx';
import '../style/joint.css';
import '../style/work.css';
import '../style/print.css';
import { mixText } from '../text/mixText.ts';

const Warnings = lazy(() => import('./warnings/Warnings.tsx').then((module) => module.Warnings));
const Heating = lazy(() => import('./ahead/Heating.tsx').then((module) => module.Heating));
const WhatIf = lazy(() => import('./WhatIf.tsx').then((module) => module.WhatIf));
const JointChart = lazy(() => import('../chart/JointChart.tsx').then((module) => module.JointChart));

/** Everything about one joint. */
export function JointPage({ joint }: { joint: string }) {
  const found = joints.value.get(joint);
  if (head.value === null) return <p class="waiting">{text.page.waiting}</p>;
  if (found === undefined) return <Missing words={jointText.missing} />;
  return <Known joint={found} />;
}

function Known({ joint }: { joint: Signal<JointView> }) {
  const view = joint.value;
  const facts = useFacts(joint).value;
  useEffect(() => {
    // The browser looked for the anchor before this page was there.
    if (window.location.hash !== '') document.getElementById(window.location.hash.slice(1))?.scrollIntoView();
  }, []);
  return (
    <div class="page joint-page">
      <div class="joint-head">
        <Link href={`/sumps/${encodeURIComponent(view.sump)}`} class="back">
          <Icon name="back" />
          {sumpName(view.sump)}
        </Link>
        <h1 tabIndex={-1}>{view.label}</h1>
      </div>
      {warningsAbout(warnings.value, view).length > 0 && <Warnings of={{ joint: view.joint, sump: view.sump }} />}
      <section class={`panel joint-now ${facts.stale ? 'is-stale' : ''}`} aria-label={jointText.phaseNow}>
        <div class="joint-top">
          <PhaseMark phase={view.phase} />
          <p class="joint-states" role="status">
            <PhaseName phase={view.phase} past={facts.lost} />
            <Conditions view={view} facts={facts} />
          </p>
        </div>
        <Reading view={view} facts={facts} />
        <WhyNot view={view} facts={facts} />
        <RedoNote view={view} />
        <SilentProbes view={view} facts={facts} />
        <p class="joint-foot">{text.now.schedule(view.scheduleDetail.title, thresholdsOf(view))}</p>
        {view.heating !== null && <Heating view={view} isLost={facts.lost} />}
        <WorkNow view={view} facts={facts} />
        {view.laidUpAt === null ? (
          <p class="soft">{text.now.why.planned}</p>
        ) : (
          <div class="stages">
            {view.stages.map((stage) => (
              <StageRow key={stage.stage} stage={stage} view={view} facts={facts} inFull />
            ))}
          </div>
        )}
      </section>
      {mayWrite() && <JointActions joint={joint} />}
      {view.findings.length > 0 && (
        <section class="panel" id="findings" aria-labelledby="findings-title">
          <h2 id="findings-title">{findingText.title}</h2>
          <FindingList findings={view.findings} />
        </section>
      )}
      <div id="chart">
        <JointChart joint={joint} />
      </div>
      <WhatIf joint={joint} />
      <div class="joint-pair">
        <HoursSoFar view={view} />
        <section class="panel" aria-labelledby="schedule-title">
          <h2 id="schedule-title">{jointText.scheduleTitle}</h2>
          <ScheduleNote view={view} />
        </section>
      </div>
      <Link href={`/evidence/joints/${encodeURIComponent(view.joint)}`} class="button joint-evidence">
        {jointText.evidence}
      </Link>
      <Caution />
    </div>
  );
}

/** What matters while the joint is being made: its surface, dew, rain, the mix, and how deep a sealant has cured. */
function WorkNow({ view, facts }: { view: JointView; facts: JointFacts }) {
  const { dew, front, mix, prepAt, openAt } = view;
  const at = (instant: string) => moment(Date.parse(instant), now.value);
  return (
    <>
      {(view.laidUpAt === null || prepAt !== null) && openAt !== null && (
        <p>{prepAt === null ? jointText.prepSigned.none : jointText.prepSigned.last(at(prepAt))}</p>
      )}
      {dew !== null &&
        (facts.lost ? (
          <p class="soft">{mixText.dew.unknown}</p>
        ) : (
          <DewNote surfaceCelsius={dew.surfaceCelsius} dewPointCelsius={dew.dewPointCelsius} isLive />
        ))}
      {facts.done || <RainNote sump={view.sump} />}
      {mix !== null && <p class="soft">{jointText.lastMix(at(mix.at), mix.by)}</p>}
      {facts.done || <MixTimes view={view} facts={facts} inFull />}
      {front !== null && view.laidUpAt !== null && (
        <p>
          {front.millimetres >= front.beadMillimetres
            ? jointText.frontThrough(String(front.beadMillimetres))
            : jointText.front(front.millimetres.toFixed(1), String(front.beadMillimetres))}
        </p>
      )}
    </>
  );
}

function HoursSoFar({ view }: { view: JointView }) {
  const at = (instant: string | null) => (instant === null ? '–' : dated(Date.parse(instant)));
  const { warm, reduced, cold, unproven, notYet, clock } = sharesOf(view);
  const hours = (tenths: number) => jointText.hours((tenths / 10).toFixed(1));
  const facts: readonly (readonly [string, string])[] = [
    [jointText.warm, hours(warm)],
    ...(view.provisionalHours > 0 ? [[jointText.provisional, jointText.hours(hoursDone(view.provisionalHours))] as const] : []),
    [jointText.reduced, hours(reduced)],
    [jointText.cold, hours(cold)],
    [jointText.unproven, hours(unproven)],
    ...(notYet === null ? [] : [[jointText.notYet, hours(notYet)] as const]),
    [jointText.clock, hours(clock)],
    [jointText.laidUpAt, at(view.laidUpAt)],
    [jointText.provenUntil, at(view.provenUntil)],
  ];
  return (
    <section class="panel" aria-labelledby="facts-title">
      <h2 id="facts-title">{jointText.facts}</h2>
      <dl class="facts">
        {facts.map(([name, value]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
    </section>
  );
}
