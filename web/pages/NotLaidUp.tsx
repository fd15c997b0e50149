import { useSignal } from '@preact/signals';
import { Link } from 'wouter-preact';
import type { JointView } from '../../edge/site/views/joint.ts';
import { mayWrite } from '../live/session.ts';
import { sumps } from '../live/store.ts';
import { lazy } from '../parts/lazy.tsx';
import { text } from '../text/text.ts';
import { needWords } from './crew/needWords.ts';

const LayUp = lazy(() => import('../parts/LayUp.tsx').then((module) => module.LayUp));
const Prep = lazy(() => import('./crew/Prep.tsx').then((module) => module.Prep));

/** What to do next with a joint whose hours do not run yet: in the order of its sump's work, where that has one. */
export function NotLaidUp({ view }: { view: JointView }) {
  const asking = useSignal<'prep' | 'first' | null>(null);
  const ask = (which: typeof asking.value) => () => {
    asking.value = which;
  };
  const material = view.probes.filter((probe) => probe.role === 'material');
  const sump = sumps.value.get(view.sump)?.value;
  const activity = sump?.activities.find(({ joint }) => joint === view.joint);
  const missing = activity?.state === 'waiting' ? activity.needs.filter(({ met, need }) => !met && need !== 'prep') : [];
  return (
    <div class="joint-next">
      <p class="soft">{text.now.why.planned}</p>
      {sump !== undefined && missing.length > 0 && (
        <p>{text.work.activities.notYet(text.listAnd(missing.map((need) => needWords(need, sump))))}</p>
      )}
      {mayWrite() && (
        <div class="joint-actions">
          {material.length === 0 && (
            <Link href={`/joints/${encodeURIComponent(view.joint)}`} class="button">
              {text.now.empty.addProbe}
            </Link>
          )}
          {material.some((probe) => !probe.registered) && (
            <Link href="/setup" class="button">
              {text.now.empty.register}
            </Link>
          )}
          {view.prepAt === null && (
            <button type="button" class="button" onClick={ask('prep')}>
              {text.work.open.prep}
            </button>
          )}
          {missing.length === 0 && (
            <button type="button" class="button primary" onClick={ask('first')}>
              {text.now.laidUpNow}
            </button>
          )}
        </div>
      )}
      {asking.value === 'prep' && <Prep view={view} onClose={ask(null)} />}
      {asking.value === 'first' && <LayUp view={view} kind="first" onClose={ask(null)} />}
    </div>
  );
}
