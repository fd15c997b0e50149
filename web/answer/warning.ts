import type { WarningView } from '../../edge/site/views/warning.ts';

/** Warnings by how they stand: nobody has seen them, somebody has, or they wait until a time that somebody named. */
export interface Sorted {
  readonly open: readonly WarningView[];
  readonly seen: readonly WarningView[];
  readonly waiting: readonly WarningView[];
  /** When the first of those that wait comes back, UTC ms; null: none waits. */
  readonly backMs: number | null;
}

/** Which warnings a page is about. A warning of a probe that is on no joint stands on the page of the whole site alone. */
export interface About {
  readonly sump?: string;
  readonly joint?: string;
}

/** The warnings that concern a page, in the order in which they came. Those of a joint's sump concern the joint too. */
export function warningsAbout(warnings: readonly WarningView[], { sump, joint }: About): WarningView[] {
  if (joint !== undefined) return warnings.filter((each) => each.joint === joint || (each.joint === null && each.sump === sump));
  return sump === undefined ? [...warnings] : warnings.filter((each) => each.sump === sump);
}

export function sorted(warnings: readonly WarningView[], nowMs: number): Sorted {
  const backMs = ({ snoozed }: WarningView) => (snoozed === null ? Number.NEGATIVE_INFINITY : Date.parse(snoozed.until));
  const waiting = warnings.filter((each) => backMs(each) > nowMs);
  const here = warnings.filter((each) => !waiting.includes(each));
  return {
    open: here.filter(({ acknowledged }) => acknowledged === null),
    seen: here.filter(({ acknowledged }) => acknowledged !== null),
    waiting,
    backMs: waiting.length === 0 ? null : Math.min(...waiting.map(backMs)),
  };
}

/** When what a warning is about comes, UTC ms; null: it is on already, or has no hour. */
export function comesMs({ numbers }: Pick<WarningView, 'numbers'>, nowMs: number): number | null {
  const ms = numbers.atMs ?? numbers.dueMs;
  return ms !== undefined && ms > nowMs ? ms : null;
}

/** One that asks for warmth leads to the cautions about heat. */
export const asksForHeat = ({ code }: WarningView) => code === 'cold-ahead' || code === 'booking-at-risk';
