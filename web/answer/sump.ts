import type { JointView } from '../../edge/site/views.ts';
import { hydroStage, type JointFacts, standing, type WhyNot } from './joint.ts';

export interface JointNow {
  readonly view: JointView;
  readonly facts: JointFacts;
}

/** When the last joint would have its hours if temperatures stayed as they are, or why no time can be named. */
export type Expected =
  | { readonly kind: 'held'; readonly atMs: number; readonly joint: JointNow }
  | { readonly kind: 'none'; readonly joint: JointNow; readonly why: WhyNot | 'blocked' | 'noStage' };

/**
 * What may be said about filling a sump for its water test. It speaks of hours, never of permission. `more` joints wait beside the one
 * that is named.
 */
export type FillAnswer =
  | { readonly kind: 'noJoints' }
  | { readonly kind: 'reached'; readonly lastMs: number; readonly joints: number }
  | { readonly kind: 'waits'; readonly waitsFor: JointNow; readonly more: number; readonly expected: Expected };

/** `slowest` names the joint that the server says holds the sump back. */
export function fillAnswer(joints: readonly JointNow[], slowest: string | null): FillAnswer {
  if (joints.length === 0) return { kind: 'noJoints' };
  const waiting = joints.filter(({ view }) => view.phase !== 'hydroReady');
  const waitsFor = waiting.find(({ view }) => view.joint === slowest) ?? waiting[0];
  if (waitsFor !== undefined)
    return { kind: 'waits', waitsFor, more: waiting.length - 1, expected: expectedOf(waitsFor, waiting) };
  const reachedMs = joints.map(({ view }) => Date.parse(hydroStage(view)?.reachedAt ?? view.asOf));
  return { kind: 'reached', lastMs: Math.max(...reachedMs), joints: joints.length };
}

/** The slowest joint in hours need not be the last by the clock: a joint that earns nothing has no time at all. */
function expectedOf(waitsFor: JointNow, waiting: readonly JointNow[]): Expected {
  const all = [waitsFor, ...waiting.filter((joint) => joint !== waitsFor)].map(expectedOfJoint);
  const none = all.find((expected) => expected.kind === 'none');
  if (none !== undefined) return none;
  return all.reduce((latest, expected) => (atMsOf(expected) > atMsOf(latest) ? expected : latest));
}

const atMsOf = (expected: Expected) => (expected.kind === 'held' ? expected.atMs : Number.POSITIVE_INFINITY);

function expectedOfJoint(joint: JointNow): Expected {
  const { view, facts } = joint;
  const stage = hydroStage(view);
  if (facts.whyNot !== null) return { kind: 'none', joint, why: facts.whyNot };
  if (stage === undefined) return { kind: 'none', joint, why: 'noStage' };
  if (standing(stage) !== 'open') return { kind: 'none', joint, why: 'blocked' };
  if (stage.ifHeldAt === null) return { kind: 'none', joint, why: 'noReading' };
  return { kind: 'held', atMs: Date.parse(stage.ifHeldAt), joint };
}

/** The joints of a sump by whether they have the hours before stress. */
export function stressAnswer(joints: readonly JointNow[]): { readonly has: JointView[]; readonly waits: JointView[] } {
  const has = (view: JointView) => view.phase === 'stressReady' || view.phase === 'hydroReady';
  const views = joints.map(({ view }) => view);
  return { has: views.filter(has), waits: views.filter((view) => !has(view)) };
}
