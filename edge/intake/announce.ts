import type { LiveSite } from '../tally/liveSite.ts';
import type { Broker } from './broker.ts';
import { stateTopic } from './topics.ts';

/** Lamps and sirens need no more; a flood of readings makes no flood of announcements. */
const EVERY_MS = 1_000;

/** Publishes the state of joints and sumps, retained, for other systems on the site. Returns how to stop. */
export function announceStates(live: LiveSite, broker: Broker): () => void {
  const due = new Set<string>();
  const markAll = () => {
    for (const joint of live.state.joints.keys()) due.add(joint);
  };
  const stopListening = live.onChange((change) => {
    if (change.kind === 'joint') due.add(change.joint);
    if (change.kind === 'structure') markAll();
  });
  markAll();
  const timer = setInterval(() => {
    const sumps = new Set<string>();
    for (const joint of due) {
      const view = live.views.joint(joint);
      sumps.add(view.sump);
      broker.announce(stateTopic(live.site, 'joint', joint), JSON.stringify(view));
    }
    due.clear();
    for (const sump of sumps) broker.announce(stateTopic(live.site, 'sump', sump), JSON.stringify(live.views.sump(sump)));
  }, EVERY_MS);
  return () => {
    clearInterval(timer);
    stopListening();
  };
}
