import type { By } from '../entries.ts';
import { msOf } from '../said/words.ts';
import type { SiteState } from '../state/site.ts';
import type { ActivityView } from '../views/activity.ts';
import type { FindingView } from '../views/finding.ts';

/** Something wrong with a statement: where, what, and what would be right. */
export interface Fault {
  readonly path: string;
  readonly message: string;
}

/** What the readings make of the site at this moment. */
export interface Seen {
  readonly activities: (sump: string) => readonly ActivityView[];
  readonly finding: (id: string) => FindingView | undefined;
  /** Whether every stage of the joint is reached and clear. */
  readonly isDone: (joint: string) => boolean;
  /** The first stage after lay-up, and the warm hours that it still lacks. */
  readonly firstStage: (joint: string) => { readonly stage: string; readonly remainingHours: number };
  /** The coldest that the joint's probes say now, guard band taken off, m°C; null: none is live. */
  readonly coldestMilliC: (joint: string) => number | null;
  /** Mean of the site's air over the last day, m°C; null: not measured. */
  readonly airMilliC: () => number | null;
}

/** Against what a statement is checked. */
export interface Context {
  readonly site: SiteState;
  readonly by: By;
  readonly nowMs: number;
  readonly seen: Seen;
}

/** People's clocks differ; a statement may be this far ahead of ours. */
export const FUTURE_TOLERANCE_MS = 2 * 60_000;

/** No sump of this program was laid up before. */
const EARLIEST_MS = Date.UTC(2015, 0, 1);

/** Gathers what is wrong with one statement. */
export class Faults {
  readonly list: Fault[] = [];
  readonly #context: Context;

  constructor(context: Context) {
    this.#context = context;
  }

  add(path: string, message: string): void {
    this.list.push({ path, message });
  }

  mustKnow(path: string, what: string, known: ReadonlyMap<string, unknown>, id: string): void {
    if (!known.has(id)) this.add(path, `no ${what} "${id}" on this site; known: ${listed(known.keys())}`);
  }

  mustBeNew(path: string, what: string, known: ReadonlyMap<string, unknown>, id: string): void {
    if (known.has(id)) this.add(path, `a ${what} "${id}" is on this site already`);
  }

  mustBePast(path: string, at: string | undefined): void {
    if (at === undefined) return;
    const { nowMs } = this.#context;
    const atMs = msOf(at);
    if (atMs > nowMs + FUTURE_TOLERANCE_MS) this.add(path, `lies in the future; it is ${new Date(nowMs).toISOString()} here`);
    if (atMs < EARLIEST_MS) this.add(path, 'lies before 2015; check the year');
  }

  mustFollow(path: string, at: string, earlier: string, what: string): void {
    if (msOf(at) < msOf(earlier)) this.add(path, `lies before ${what}, ${earlier}`);
  }
}

export function listed(names: Iterable<string>): string {
  return [...names].slice(0, 12).join(', ') || 'none yet';
}
