import type { ServerResponse } from 'node:http';
import { iso } from '../../edge/site/views/iso.ts';
import type { Change, LiveSite } from '../../edge/tally/liveSite.ts';

/** The longest silence on a stream: a page that hears nothing for longer knows that its link is gone. */
export const BEAT_MS = 5_000;
const LISTENERS_MOST = 256;

interface Listener {
  readonly response: ServerResponse;
  /** What has changed and not been sent: names only, so that a slow reader gets the newest value of each, never a backlog. */
  readonly due: Set<string>;
  blocked: boolean;
}

/** Server-sent events for every page that watches: the newest state of whatever changed. */
export class Stream {
  readonly #live: LiveSite;
  readonly #listeners = new Set<Listener>();
  readonly #stopListening: () => void;
  readonly #beat: NodeJS.Timeout;

  constructor(live: LiveSite) {
    this.#live = live;
    this.#stopListening = live.onChange((change) => this.#markAll(this.#namesOf(change)));
    this.#beat = setInterval(() => this.#markAll(['beat']), BEAT_MS);
  }

  /** Whether one more may listen. */
  get hasRoom(): boolean {
    return this.#listeners.size < LISTENERS_MOST;
  }

  /** Sends events on `response`, its head already written, until the other side leaves. */
  add(response: ServerResponse): void {
    const listener: Listener = { response, due: new Set(['site', 'quarantine', 'beat']), blocked: false };
    this.#listeners.add(listener);
    response.on('drain', () => {
      listener.blocked = false;
      this.#send(listener);
    });
    response.on('close', () => this.#listeners.delete(listener));
    this.#send(listener);
  }

  close(): void {
    this.#stopListening();
    clearInterval(this.#beat);
    for (const { response } of this.#listeners) response.end();
    this.#listeners.clear();
  }

  /** Event names, with the id of the thing where there are several. */
  #namesOf(change: Change): string[] {
    switch (change.kind) {
      case 'structure':
        return ['site'];
      case 'joint': {
        const sump = this.#live.state.joints.get(change.joint)?.sump;
        return [`joint ${change.joint}`, ...(sump === undefined ? [] : [`sump ${sump}`])];
      }
      case 'probe':
        return [`probe ${change.probe}`];
      case 'quarantine':
        return ['quarantine'];
      case 'warnings':
        return ['warnings'];
      case 'recording':
        return ['site', 'beat'];
    }
  }

  #markAll(names: readonly string[]): void {
    for (const listener of this.#listeners) {
      for (const name of names) listener.due.add(name);
      this.#send(listener);
    }
  }

  #send(listener: Listener): void {
    while (!listener.blocked && listener.due.size > 0) {
      const name = listener.due.values().next().value as string;
      listener.due.delete(name);
      const [event, id = ''] = name.split(' ') as [string, string | undefined];
      // Taken back meanwhile: the next word of the site as a whole is without it.
      const { joints, sumps } = this.#live.state;
      if ((event === 'joint' && !joints.has(id)) || (event === 'sump' && !sumps.has(id))) continue;
      const data = JSON.stringify(this.#value(event, id));
      listener.blocked = !listener.response.write(`event: ${event}\ndata: ${data}\n\n`);
    }
  }

  #value(event: string, id: string): unknown {
    switch (event) {
      case 'site':
        return this.#live.views.whole(this.#live.recording);
      case 'joint':
        return this.#live.views.joint(id);
      case 'sump':
        return this.#live.views.sump(id);
      case 'probe':
        return this.#live.views.probe(id);
      case 'quarantine':
        return { total: this.#live.ledger.quarantined() };
      case 'warnings':
        return { warnings: this.#live.views.warnings() };
      default:
        return { asOf: iso(this.#live.nowMs), recording: this.#live.recording };
    }
  }
}
