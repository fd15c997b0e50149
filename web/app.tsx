import { useEffect, useRef } from 'preact/hooks';
import { Link, Route, Switch, useLocation, useRoute } from 'wouter-preact';
import { session, unreachable } from './live/session.ts';
import { head, jointOfSump, joints } from './live/store.ts';
import { JointCard } from './pages/JointCard.tsx';
import { Now } from './pages/Now.tsx';
import { lazy } from './parts/lazy.tsx';
import { RecordedBar } from './parts/RecordedBar.tsx';
import { Banners, TopBar } from './parts/Shell.tsx';
import { text } from './text/text.ts';

const JointPage = lazy(
  () => import('./pages/Joint.tsx').then((module) => module.JointPage),
  function Known({ joint }) {
    const known = joints.value.get(joint);
    return known === undefined ? null : (
      <ul class="joint-list">
        <JointCard joint={known} />
      </ul>
    );
  },
);
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

/** The page first: of several tabs the beginning is all that is seen. */
function titleOf(location: string, joint: string | undefined): string {
  const site = head.value;
  const page =
    joint === undefined
      ? { '/': text.nav.now, '/setup': text.nav.setup, '/settings': text.nav.settings }[location]
      : jointOfSump(joint);
  return [page, site === null ? undefined : (site.name ?? site.site), text.appName]
    .filter((part) => part !== undefined)
    .join(' – ');
}

function Pages() {
  const [location] = useLocation();
  const page = useRef<HTMLElement>(null);
  const first = useRef(true);
  const [, parameters] = useRoute('/joints/:joint');
  const title = titleOf(location, parameters?.joint);
  useEffect(() => {
    document.title = title;
  }, [title]);
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
