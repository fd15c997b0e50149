import { useEffect, useRef } from 'preact/hooks';
import { Link, Route, Switch, useLocation, useRoute } from 'wouter-preact';
import { session, unreachable } from './live/session.ts';
import { head, jointOfSump, joints, sumpName } from './live/store.ts';
import { JointCard } from './pages/JointCard.tsx';
import { Now } from './pages/Now.tsx';
import { lazy } from './parts/lazy.tsx';
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
const MixPage = lazy(() => import('./pages/crew/Mix.tsx').then((module) => module.MixPage));
const SumpPage = lazy(() => import('./pages/Sump.tsx').then((module) => module.SumpPage));
const PlanPage = lazy(() => import('./pages/Plan.tsx').then((module) => module.PlanPage));
const WeatherPage = lazy(() => import('./pages/Weather.tsx').then((module) => module.WeatherPage));
const Evidence = lazy(() => import('./pages/Evidence.tsx').then((module) => module.Evidence));
const Findings = lazy(() => import('./pages/Findings.tsx').then((module) => module.Findings));
const Schedules = lazy(() => import('./pages/Schedules.tsx').then((module) => module.Schedules));
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
    </>
  );
}

/** The page first: of several tabs the beginning is all that is seen. */
function titleOf(location: string, { joint, sump }: { joint?: string | undefined; sump?: string | undefined }): string {
  const site = head.value;
  const pages: Record<string, string> = {
    '/': text.nav.now,
    '/findings': text.nav.findings,
    '/setup': text.nav.setup,
    '/schedules': text.nav.schedules,
    '/settings': text.nav.settings,
    '/weather': text.nav.weather,
  };
  const ownPage = location.startsWith('/evidence') ? text.nav.evidence : pages[location];
  const page = joint !== undefined ? jointOfSump(joint) : sump !== undefined ? sumpName(sump) : ownPage;
  return [page, site === null ? undefined : (site.name ?? site.site), text.appName]
    .filter((part) => part !== undefined)
    .join(' – ');
}

function Pages() {
  const [location] = useLocation();
  const page = useRef<HTMLElement>(null);
  const first = useRef(true);
  const [, ofJoint] = useRoute('/joints/:joint/*?');
  const [, ofSump] = useRoute('/sumps/:sump');
  const [, ofPlan] = useRoute('/plan/:sump');
  const [, ofStory] = useRoute('/evidence/joints/:joint');
  const title = titleOf(location, { joint: ofJoint?.joint ?? ofStory?.joint, sump: ofSump?.sump ?? ofPlan?.sump });
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
        <Route path="/joints/:joint/mix">{({ joint }) => <MixPage key={joint} joint={joint} />}</Route>
        <Route path="/sumps/:sump">{({ sump }) => <SumpPage key={sump} sump={sump} />}</Route>
        <Route path="/plan/:sump">{({ sump }) => <PlanPage key={sump} sump={sump} />}</Route>
        <Route path="/weather">
          <WeatherPage />
        </Route>
        <Route path="/evidence/*?">
          <Evidence />
        </Route>
        <Route path="/findings">
          <Findings />
        </Route>
        <Route path="/schedules">
          <Schedules />
        </Route>
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
