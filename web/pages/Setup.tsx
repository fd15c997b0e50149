import { useEffect } from 'preact/hooks';
import { Link } from 'wouter-preact';
import { mayWrite } from '../live/session.ts';
import { head } from '../live/store.ts';
import { setupText } from '../text/setupText.ts';
import { text } from '../text/text.ts';
import { Connect } from './setup/Connect.tsx';
import { Devices } from './setup/Devices.tsx';
import { Lots } from './setup/Lots.tsx';
import { Probes } from './setup/Probes.tsx';
import { SetAside } from './setup/SetAside.tsx';
import { SiteForm } from './setup/SiteForm.tsx';
import { Sumps } from './setup/Sumps.tsx';
import '../style/chart.css';
import '../style/setup.css';
import '../style/schedules.css';
import '../style/instruments.css';

const parts = [
  { id: 'site', title: setupText.setup.site.title, Part: SiteForm },
  { id: 'sumps', title: setupText.setup.sumps.title, Part: Sumps },
  { id: 'schedules', title: setupText.setup.schedules.title, Part: ToSchedules },
  { id: 'probes', title: setupText.setup.probes.title, Part: Probes },
  { id: 'lots', title: setupText.setup.lots.title, Part: Lots },
  { id: 'connect', title: setupText.setup.connect.title, Part: Connect },
  { id: 'devices', title: setupText.setup.devices.title, Part: Devices },
  { id: 'set-aside', title: setupText.setup.quarantine.title, Part: SetAside },
];

/** The rules themselves have a page of their own. */
function ToSchedules() {
  return (
    <>
      <p>{setupText.schedules.linkLead}</p>
      <Link href="/schedules" class="button">
        {setupText.setup.schedules.open}
      </Link>
    </>
  );
}

/** Everything that is told once: the site, its sumps and joints, its probes. */
export function Setup() {
  const ready = head.value !== null;
  useEffect(() => {
    // The browser looked for the anchor before this page was there.
    if (ready && window.location.hash !== '') document.getElementById(window.location.hash.slice(1))?.scrollIntoView();
  }, [ready]);
  if (!ready) return <p class="waiting">{text.page.waiting}</p>;
  return (
    <div class="setup">
      <div class="setup-head">
        <h1 tabIndex={-1}>{setupText.setup.title}</h1>
        <nav aria-label={setupText.setup.contents}>
          <ul>
            {parts.map(({ id, title }) => (
              <li key={id}>
                <a href={`#${id}`}>{title}</a>
              </li>
            ))}
          </ul>
        </nav>
      </div>
      <div class="setup-parts">
        {!mayWrite() && <p class="problem">{setupText.setup.readOnly}</p>}
        {parts.map(({ id, title, Part }) => (
          <section key={id} id={id} class="panel" aria-labelledby={`${id}-title`}>
            <h2 id={`${id}-title`}>{title}</h2>
            <Part />
          </section>
        ))}
      </div>
    </div>
  );
}
