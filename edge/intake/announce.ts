import type { LiveSite } from '../tally/liveSite.ts';
import type { Broker } from './broker.ts';
import { stateTopic } from './topics.ts';

/** Lamps and sirens need no more; a flood of readings makes no flood of announcements. */
const EVERY_MS = 1_000;

/**
 * Publishes the state of joints and sumps, retained, for other systems on the site; of what was taken back an empty message, which
 * takes its state off the broker (MQTT 3.1.1 §3.3.1.3). Returns how to stop.
 */
export function announceStates(live: LiveSite, broker: Broker): () => void {
  const due = { joint: new Set<string>(), sump: new Set<string>() };
  const announced = { joint: new Set<string>(), sump: new Set<string>() };
  const mark = (joint: string) => {
    due.joint.add(joint);
    const sump = live.state.joints.get(joint)?.sump;
    if (sump !== undefined) due.sump.add(sump);
  };
  const markAll = () => {
    for (const joint of [...live.state.joints.keys(), ...announced.joint]) mark(joint);
    for (const sump of [...live.state.sumps.keys(), ...announced.sump]) due.sump.add(sump);
  };
  const announceDue = (what: 'joint' | 'sump', isThere: (id: string) => boolean, view: (id: string) => unknown) => {
    for (const id of due[what]) {
      due[what].delete(id);
      if (isThere(id)) announced[what].add(id);
      else if (!announced[what].delete(id)) continue;
      broker.announce(stateTopic(live.site, what, id), isThere(id) ? JSON.stringify(view(id)) : '');
    }
  };
  const stopListening = live.onChange((change) => {
    if (change.kind === 'joint') mark(change.joint);
    if (change.kind === 'structure') markAll();
  });
  markAll();
  const timer = setInterval(() => {
    const { joints, sumps } = live.state;
    announceDue(
      'joint',
      (id) => joints.has(id),
      (id) => live.views.joint(id),
    );
    announceDue(
      'sump',
      (id) => sumps.has(id),
      (id) => live.views.sump(id),
    );
  }, EVERY_MS);
  return () => {
    clearInterval(timer);
    stopListening();
  };
}
