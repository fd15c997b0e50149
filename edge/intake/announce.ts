import type { LiveSite } from '../tally/liveSite.ts';
import type { Broker } from './broker.ts';
import { stateTopic, warningTopic } from './topics.ts';

/** Lamps and sirens need no more; a flood of readings makes no flood of announcements. */
const EVERY_MS = 1_000;

/**
 * Publishes the state of joints and sumps and every warning, retained, for other systems on the site; of what was taken back or has
 * ended an empty message, which takes it off the broker (MQTT 3.1.1 §3.3.1.3). Returns how to stop.
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
  const warnings = new AnnouncedWarnings(live, broker);
  const stopListening = live.onChange((change) => {
    if (change.kind === 'warnings') warnings.due = true;
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
    warnings.announce();
  }, EVERY_MS);
  return () => {
    clearInterval(timer);
    stopListening();
  };
}

class AnnouncedWarnings {
  readonly #live: LiveSite;
  readonly #broker: Broker;
  /** What stands on the broker, by topic. */
  #standing: ReadonlyMap<string, string> = new Map();
  due = true;

  constructor(live: LiveSite, broker: Broker) {
    this.#live = live;
    this.#broker = broker;
  }

  announce(): void {
    if (!this.due) return;
    this.due = false;
    const { site, views } = this.#live;
    const now = new Map(views.warnings().map((view) => [warningTopic(site, view.owner, view.code), JSON.stringify(view)]));
    for (const topic of this.#standing.keys()) if (!now.has(topic)) this.#broker.announce(topic, '');
    for (const [topic, said] of now) if (this.#standing.get(topic) !== said) this.#broker.announce(topic, said);
    this.#standing = now;
  }
}
