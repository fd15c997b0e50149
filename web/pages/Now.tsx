import { useSignal } from '@preact/signals';
import { Link } from 'wouter-preact';
import { mayWrite } from '../live/session.ts';
import { head, joints, sumps, warnings } from '../live/store.ts';
import { Caution } from '../parts/Caution.tsx';
import { ForecastLine } from '../parts/ForecastLine.tsx';
import { focusSoon } from '../parts/focus.ts';
import { lazy } from '../parts/lazy.tsx';
import { text } from '../text/text.ts';
import { SumpLine, SumpSection } from './SumpSection.tsx';

const Warnings = lazy(() => import('./warnings/Warnings.tsx').then((module) => module.Warnings));
const ScheduleNote = lazy(() => import('../parts/ScheduleNote.tsx').then((module) => module.ScheduleNote));
const SiteForm = lazy(() => import('./setup/SiteForm.tsx').then((module) => module.SiteForm));

/** What may be done on each sump now, and if not now, when. */
export function Now() {
  const site = head.value;
  if (site === null) return <p class="waiting">{text.page.waiting}</p>;
  return (
    <>
      <h1 class="only-heard" tabIndex={-1}>
        {text.now.heading(site.name ?? text.top.unnamed(site.site))}
      </h1>
      {warnings.value.length > 0 && <Warnings of={{}} />}
      {sumps.value.size > 0 ? <Sumps /> : site.name === null && mayWrite() ? <NoName /> : <NoSump />}
      {!mayWrite() && (
        <Link href="/evidence" class="button">
          {text.nav.evidence}
        </Link>
      )}
      <Caution />
    </>
  );
}

function Sumps() {
  const all = [...sumps.value];
  return (
    <>
      {all.length > 1 && (
        <ul class="overview">
          {all.map(([name, sump]) => (
            <SumpLine key={name} sump={sump} />
          ))}
        </ul>
      )}
      <ForecastLine />
      {all.map(([name, sump]) => (
        <SumpSection key={name} sump={sump} />
      ))}
      <SchedulesInUse />
    </>
  );
}

/** Whoever reads an hour here can read which rules it was counted by. */
function SchedulesInUse() {
  const open = useSignal(false);
  const views = [...joints.value.values()].map((joint) => joint.value);
  const inUse = new Map(views.map((view) => [view.scheduleDetail.rateTableSha256 + view.schedule, view]));
  if (inUse.size === 0) return null;
  return (
    <details
      class="more"
      onToggle={(event) => {
        open.value = event.currentTarget.open;
      }}
    >
      <summary>{text.now.schedules}</summary>
      {open.value && [...inUse].map(([key, view]) => <ScheduleNote key={key} view={view} />)}
    </details>
  );
}

/** Every time on the pages depends on the zone, so it comes before the first sump. */
function NoName() {
  return (
    <div class="first-step">
      <h2>{text.now.empty.noName}</h2>
      <p>{text.now.empty.noNameLead}</p>
      <SiteForm onSaved={() => focusSoon('first-sump')} />
    </div>
  );
}

function NoSump() {
  return (
    <div class="first-step">
      <h2 id="first-sump" tabIndex={-1}>
        {text.now.empty.noSump}
      </h2>
      <p>{mayWrite() ? text.now.empty.noSumpLead : text.now.empty.readOnly}</p>
      {mayWrite() && (
        <Link href="/setup#sumps" class="button primary">
          {text.now.empty.addSump}
        </Link>
      )}
    </div>
  );
}
