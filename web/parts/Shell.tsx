import { Link } from 'wouter-preact';
import { now } from '../live/clock.ts';
import { waitingCount } from '../live/findings.ts';
import { link } from '../live/link.ts';
import { head, recording } from '../live/store.ts';
import { clockSeconds, moment, span, zoneName } from '../look/format.ts';
import { text } from '../text/text.ts';
import { Icon } from './Icon.tsx';
import { RecordedBar } from './RecordedBar.tsx';

/** Whose site this is, and whether the page is of now. */
export function TopBar() {
  const site = head.value;
  return (
    <header class="top-bar">
      <p class="top-site">{site === null ? text.appName : (site.name ?? text.top.unnamed(site.site))}</p>
      <LinkState />
      <Nav />
    </header>
  );
}

function LinkState() {
  const { state } = link.value;
  return (
    <p class={`link-state is-${state}`} title={state === 'live' ? text.top.liveTitle : undefined}>
      <span class="link-dot" aria-hidden="true" />
      <span role="status">{text.top[state]}</span>
      {state === 'live' && (
        <span class="link-clock">
          {clockSeconds(now.value)} {zoneName(now.value)}
        </span>
      )}
    </p>
  );
}

/** What nobody may miss, across the full width, and what was just put on record. */
export function Banners() {
  const lostMs = link.value.state === 'lost' ? link.value.sinceMs : null;
  return (
    <div class="banners">
      {!recording.value && (
        <div class="banner is-alarm" role="alert">
          <Icon name="stop" />
          <p>
            <b>{text.banner.notRecording}</b> {text.banner.notRecordingDetail}
          </p>
        </div>
      )}
      {lostMs !== null && (
        <div class="banner is-lost">
          <Icon name="lost" />
          <p>
            <b role="alert">{text.banner.lost(moment(lostMs, now.value))}</b> {text.banner.lostDetail(span(now.value - lostMs))}
          </p>
        </div>
      )}
      <RecordedBar />
    </div>
  );
}

const pages = [
  { href: '/', icon: 'now', label: text.nav.now },
  { href: '/findings', icon: 'findings', label: text.nav.findings },
  { href: '/setup', icon: 'setup', label: text.nav.setup },
  { href: '/settings', icon: 'settings', label: text.nav.settings },
] as const;

/** At the thumb on a phone, in the top line on a desk. */
function Nav() {
  return (
    <nav class="nav" aria-label={text.nav.label}>
      {pages.map(({ href, icon, label }) => (
        <Link key={href} href={href} className={(active) => (active ? 'nav-link is-here' : 'nav-link')}>
          <span class="nav-icon">
            <Icon name={icon} />
            {href === '/findings' && <Badge />}
          </span>
          {label}
        </Link>
      ))}
    </nav>
  );
}

/** How many findings wait for somebody, as last heard. */
function Badge() {
  const count = waitingCount.value;
  if (count === 0) return null;
  return (
    <span class="badge">
      <span aria-hidden="true">{count > 99 ? '99+' : count}</span>
      <span class="only-heard">{text.nav.waiting(count)}</span>
    </span>
  );
}
