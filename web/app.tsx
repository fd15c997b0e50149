import { useEffect, useRef } from 'preact/hooks';
import { Link, Route, Switch, useLocation } from 'wouter-preact';
import { session, unreachable } from './live/session.ts';
import { head } from './live/store.ts';
import { Now } from './pages/Now.tsx';
import { lazy } from './parts/lazy.tsx';
import { RecordedBar } from './parts/RecordedBar.tsx';
import { Banners, TopBar } from './parts/Shell.tsx';
import { text } from './text/text.ts';

const JointPage = lazy(() => import('./pages/Joint.tsx').then((module) => module.JointPage));
const Setup = lazy(() => import('./pages/Setup.tsx').then((module) => module.Setup));
const Settings = lazy(() => import('./pages/Settings.tsx').then((module) => module.Settings));
const SignIn = lazy(() => import('./pages/SignIn.tsx').then((module) => module.SignIn));

export function App() {
  if (session.value === 'none') return <SignIn />;
  if (session.value === 'unknown') return <p class="waiting">{unreachable.value ? text.page.unreachable : text.page.loading}</p>;
  return (
    <>
      <a class="skip" href="#page">
        {text.nav.skip}
      </a>
      <TopBar />
      <Banners />
      <Pages />
      <RecordedBar />
    </>
  );
}

function Pages() {
  const [location] = useLocation();
  const page = useRef<HTMLElement>(null);
  const first = useRef(true);
  const site = head.value;
  useEffect(() => {
    document.title = site === null ? text.appName : `${site.name ?? site.site} – ${text.appName}`;
  }, [site]);
  // A new address is what moves the focus.
  useEffect(() => {
    if (first.current) first.current = false;
    else if (location !== '/' || page.current !== null) page.current?.focus({ preventScroll: true });
    if (window.location.hash === '') window.scrollTo(0, 0);
  }, [location]);
  return (
    <main id="page" ref={page} tabIndex={-1}>
      <Switch>
        <Route path="/">
          <Now />
        </Route>
        <Route path="/joints/:joint">{({ joint }) => <JointPage key={joint} joint={joint} />}</Route>
        <Route path="/setup">
          <Setup />
        </Route>
        <Route path="/settings">
          <Settings />
        </Route>
        <Route>
          <p class="waiting">{text.page.missing}</p>
          <Link href="/" class="button">
            {text.page.backToNow}
          </Link>
        </Route>
      </Switch>
    </main>
  );
}
