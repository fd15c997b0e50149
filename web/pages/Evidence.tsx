import { Route, Switch } from 'wouter-preact';
import { lazy } from '../parts/lazy.tsx';

const FindPage = lazy(() => import('./evidence/FindPage.tsx').then((module) => module.FindPage));
const VerifyPage = lazy(() => import('./evidence/VerifyPage.tsx').then((module) => module.VerifyPage));
const OpenPage = lazy(() => import('./evidence/OpenPage.tsx').then((module) => module.OpenPage));
const RecallPage = lazy(() => import('./evidence/RecallPage.tsx').then((module) => module.RecallPage));
const StoryPage = lazy(() => import('./evidence/StoryPage.tsx').then((module) => module.StoryPage));

/** The pages of whoever has to prove something, or to judge a proof. */
export function Evidence() {
  return (
    <Switch>
      <Route path="/evidence/verify">
        <VerifyPage />
      </Route>
      <Route path="/evidence/open">
        <OpenPage />
      </Route>
      <Route path="/evidence/joints/:joint">{({ joint }) => <StoryPage key={joint} joint={joint} />}</Route>
      <Route path="/evidence/lots/:lot">{({ lot }) => <RecallPage key={lot} lot={lot} />}</Route>
      <Route>
        <FindPage />
      </Route>
    </Switch>
  );
}
