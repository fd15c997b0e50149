import { useEffect } from 'preact/hooks';
import { mayWrite } from '../live/session.ts';
import { head } from '../live/store.ts';
import { text } from '../text/text.ts';
import { Connect } from './setup/Connect.tsx';
import { Probes } from './setup/Probes.tsx';
import { SetAside } from './setup/SetAside.tsx';
import { SiteForm } from './setup/SiteForm.tsx';
import { Sumps } from './setup/Sumps.tsx';
import '../style/setup.css';

const parts = [
  { id: 'site', title: text.setup.site.title, Part: SiteForm },
  { id: 'sumps', title: text.setup.sumps.title, Part: Sumps },
  { id: 'probes', title: text.setup.probes.title, Part: Probes },
  { id: 'connect', title: text.setup.connect.title, Part: Connect },
  { id: 'set-aside', title: text.setup.quarantine.title, Part: SetAside },
];

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
        <h1 tabIndex={-1}>{text.setup.title}</h1>
        <nav aria-label={text.setup.contents}>
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
        {!mayWrite() && <p class="problem">{text.setup.readOnly}</p>}
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
