import { chanceBy, decidedBy, type Readiness, safeFromMs, together, type Wanted } from '../../../edge/cure/outlook/booking.ts';
import { MEMBERS } from '../../../edge/cure/outlook/chance.ts';
import type { Change, OutlookInput } from '../../../edge/cure/outlook/input.ts';
import { type Outlook, project } from '../../../edge/cure/outlook/project.ts';
import { noTimes, type OutlookReason, type Times, timesOf } from '../../../edge/site/views/outlook.ts';
import type { SumpOutlook } from '../../api/shapes.ts';

export type Needs = SumpOutlook['activities'][number]['needs'];

/** What somebody asks about: can what needs this begin by then? */
export interface Aim {
  readonly needs: Needs;
  /** Why no time can be named whatever lies ahead of the joints; null: nothing is in the way. */
  readonly reason: OutlookReason | null;
  readonly dueMs: number;
}

/** What somebody might do, on these joints. */
export interface Proposal {
  readonly joints: readonly string[];
  readonly change: Change;
}

export interface PlanAnswer {
  /** Share of the worlds in which everything is there in time; null: no time can be named. */
  readonly chance: number | null;
  /** The joint that most often comes last; null: none is missing. */
  readonly decidedBy: string | null;
  readonly ready: Times;
  /** The first quarter of an hour with nine chances in ten; null: none that can be named. */
  readonly safeFromMs: number | null;
  /** Of each joint by itself. */
  readonly joints: readonly {
    readonly joint: string;
    /** Null: no time can be named. */
    readonly chance: number | null;
    readonly ready: Times;
  }[];
}

/** The joints that are waited for, in the order they are named. */
export const jointsOf = (needs: Needs): string[] => [...new Set(needs.map(({ joint }) => joint))];

/** The stages of one joint that are looked ahead to: those it needs, and for a name that it has not, its last one. */
function stagesOf(input: OutlookInput, needs: Needs): string[] {
  const known = input.stages.map(({ stage }) => stage);
  return needs
    .filter(({ joint }) => joint === input.joint)
    .map(({ stage }) => (known.includes(stage) ? stage : (known.at(-1) ?? stage)));
}

/** Joints and stages to look ahead for. */
export function wantedOf({ joints }: Pick<SumpOutlook, 'joints'>, needs: Needs): Wanted[] {
  return joints.flatMap(({ input }) => (input === null ? [] : stagesOf(input, needs).map((stage) => ({ input, stage }))));
}

/**
 * Looks ahead for everything that is needed, with what somebody might do or without. `members`: fewer worlds, for a first answer
 * while a slider moves.
 */
export function planAnswer(
  outlook: Pick<SumpOutlook, 'joints'>,
  { needs, reason: inTheWay, dueMs }: Aim,
  proposal: Proposal | null = null,
  members = MEMBERS,
): PlanAnswer {
  const wanted = new Set(jointsOf(needs));
  const asked = outlook.joints.filter(({ joint }) => wanted.has(joint));
  const known = asked.flatMap(({ joint, input }): Readiness[] => {
    if (input === null) return [];
    const change = proposal?.joints.includes(joint) ? proposal.change : undefined;
    const { stages } = lookedAhead(input, change, members);
    return stagesOf(input, needs).map((stage) => ({
      joint,
      membersMs: worldsOf(input, stages, stage).slice(0, members),
    }));
  });
  const nameless = asked.find(({ input, reason }) => input === null && reason !== null);
  const all = together(known);
  const joints = asked.map(({ joint, reason }) => {
    const own = together(known.filter((each) => each.joint === joint));
    const none = known.some((each) => each.joint === joint) ? null : reason;
    return { joint, chance: none === null ? chanceOf(own, dueMs) : null, ready: readyOf(own, none) };
  });
  const reason = inTheWay ?? nameless?.reason ?? null;
  if (reason !== null)
    return { chance: null, decidedBy: nameless?.joint ?? null, ready: noTimes(reason), safeFromMs: null, joints };
  return {
    chance: chanceOf(all, dueMs),
    decidedBy: known.length === 0 ? null : decidedBy(known, dueMs),
    ready: readyOf(all, null),
    safeFromMs: all.length === 0 ? null : safeFromMs(all),
    joints,
  };
}

/** Nothing that is needed is missing in any world that needs nothing. */
const chanceOf = (membersMs: readonly number[], dueMs: number) => (membersMs.length === 0 ? 1 : chanceBy(membersMs, dueMs));

/** What is not proven yet is not there yet, whatever was looked ahead to. */
function worldsOf({ nowMs, credit }: OutlookInput, stages: Outlook['stages'], name: string): readonly number[] {
  const membersMs = stages.find(({ stage }) => stage === name)?.membersMs ?? [];
  const isReached = credit.reached.some(({ stage }) => stage === name);
  return isReached ? membersMs : membersMs.map((ms) => Math.max(ms, nowMs));
}

const withoutChange = new WeakMap<OutlookInput, { readonly members: number; readonly outlook: Outlook }>();

/** Looking ahead without a change is asked for again and again. */
function lookedAhead(input: OutlookInput, change: Change | undefined, members: number): Outlook {
  if (change !== undefined) return project(input, { change, members });
  const known = withoutChange.get(input);
  if (known !== undefined && known.members >= members) return known.outlook;
  const outlook = project(input, { members });
  withoutChange.set(input, { members, outlook });
  return outlook;
}

/** Nothing is waited for. */
const NOTHING: Times = { earliest: null, likely: null, latest: null, reason: null };

function readyOf(membersMs: readonly number[], reason: OutlookReason | null): Times {
  if (reason !== null) return noTimes(reason);
  return membersMs.length === 0 ? NOTHING : timesOf(membersMs);
}
