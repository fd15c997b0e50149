import type { ActivityView, NeedView } from '../../edge/site/views/activity.ts';
import type { JointView } from '../../edge/site/views/joint.ts';
import type { Times } from '../../edge/site/views/outlook.ts';
import type { SumpView } from '../../edge/site/views/sump.ts';
import { hydroStage, type JointFacts, standing, type WhyNot } from './joint.ts';
import { type StageAhead, stageAhead } from './outlook.ts';

export interface JointNow {
  readonly view: JointView;
  readonly facts: JointFacts;
}

/** When the last joint will have its hours as it looks, or would have them if temperatures stayed as they are, or why no time can be named. */
export type Expected =
  | { readonly kind: 'ahead'; readonly times: Times; readonly air: StageAhead['air']; readonly joint: JointNow }
  | { readonly kind: 'held'; readonly atMs: number; readonly joint: JointNow }
  | { readonly kind: 'none'; readonly joint: JointNow; readonly why: WhyNot | 'blocked' | 'stopped' | 'noStage' };

/**
 * What may be said about filling a sump for its water test. It speaks of hours, never of permission. `more` joints wait beside the one
 * that is named; `undecided` findings wait for somebody, too.
 */
export type FillAnswer =
  | { readonly kind: 'noJoints' }
  | {
      readonly kind: 'waits';
      readonly waitsFor: JointNow;
      readonly more: number;
      readonly expected: Expected;
      readonly undecided: number;
    }
  /** Joints that the sequence asks for are not on the site. */
  | { readonly kind: 'missing'; readonly parts: readonly string[] }
  | { readonly kind: 'undecided'; readonly undecided: number }
  /** Something else that the sequence asks for is not there. */
  | { readonly kind: 'needs'; readonly need: NeedView }
  | { readonly kind: 'reached'; readonly lastMs: number; readonly joints: number }
  | { readonly kind: 'started'; readonly atMs: number; readonly isEarly: boolean }
  | { readonly kind: 'failed'; readonly atMs: number; readonly verdict: 'fail' | 'invalid' }
  | { readonly kind: 'passed'; readonly atMs: number };

/** What of a sump its answer rests on. */
export type SumpFacts = Pick<SumpView, 'slowestJoint' | 'activities' | 'parts' | 'tests'>;

/** The answer follows the sump's water test; joints that are missing hold it back too, whatever the others have. */
export function fillAnswer(joints: readonly JointNow[], sump: SumpFacts): FillAnswer {
  const test = sump.activities.find(({ waterTest }) => waterTest);
  const begun = test === undefined ? null : begunAnswer(test, sump);
  if (begun !== null) return begun;
  if (joints.length === 0) return { kind: 'noJoints' };

  const unmet = test?.needs.filter(({ met }) => !met) ?? [];
  const undecided = unmet.find(({ need }) => need === 'decided')?.findings.length ?? 0;
  const waiting = joints.filter(({ view }) => !isClear(view));
  const waitsFor = waiting.find(({ view }) => view.joint === sump.slowestJoint) ?? waiting[0];
  if (waitsFor !== undefined)
    return { kind: 'waits', waitsFor, more: waiting.length - 1, expected: expectedOf(waitsFor, waiting, test), undecided };
  const missing = sump.parts.filter(({ joint }) => joint === null);
  if (missing.length > 0) return { kind: 'missing', parts: missing.map(({ label }) => label) };
  if (undecided > 0) return { kind: 'undecided', undecided };
  const [need] = unmet;
  if (need !== undefined) return { kind: 'needs', need };
  const reachedMs = joints.map(({ view }) => Date.parse(hydroStage(view)?.reachedAt ?? view.asOf));
  return { kind: 'reached', lastMs: Math.max(...reachedMs), joints: joints.length };
}

function begunAnswer(test: ActivityView, { tests }: SumpFacts): FillAnswer | null {
  if (test.state === 'done' && test.doneAt !== null) return { kind: 'passed', atMs: Date.parse(test.doneAt) };
  const newest = tests.at(-1);
  if (newest !== undefined && newest.verdict !== 'pass')
    return { kind: 'failed', atMs: Date.parse(newest.endedAt), verdict: newest.verdict };
  if (test.state !== 'started' || test.startedAt === null) return null;
  return { kind: 'started', atMs: Date.parse(test.startedAt), isEarly: test.early !== null };
}

const CALM: ReadonlySet<FillAnswer['kind']> = new Set(['reached', 'passed']);

/** How an answer looks. It is no calm one while `undecided` findings wait for somebody, whatever was reached or passed before. */
export function answerLook(
  { kind }: FillAnswer,
  undecided: number,
  isLost: boolean,
): 'is-unknown' | 'is-reached' | 'is-failed' | 'is-waiting' {
  if (isLost) return 'is-unknown';
  if (kind === 'failed') return 'is-failed';
  return CALM.has(kind) && undecided === 0 ? 'is-reached' : 'is-waiting';
}

/** Its water-test hours are there and nothing blocks them. */
function isClear(view: JointView): boolean {
  const stage = hydroStage(view);
  return view.phase !== 'void' && stage !== undefined && standing(stage) === 'reached';
}

/**
 * What lies ahead of the water test, where every joint that waits can be looked ahead for. Else the slowest joint in hours need not be
 * the last by the clock: a joint that earns nothing has no time at all.
 */
function expectedOf(waitsFor: JointNow, waiting: readonly JointNow[], test: ActivityView | undefined): Expected {
  // Nobody knows how long a decision takes.
  const ahead = waiting.map(({ view, facts }) =>
    hydroStage(view)?.blockedBy.length === 0 ? stageAhead(view, hydroStage(view), facts) : null,
  );
  const [first] = ahead;
  const times = test?.projected ?? (ahead.length === 1 ? first?.times : null);
  if (first != null && times != null && !ahead.includes(null)) return { kind: 'ahead', times, air: first.air, joint: waitsFor };
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
  if (stage.blockedBy.length > 0) return { kind: 'none', joint, why: 'stopped' };
  if (stage.ifHeldAt === null) return { kind: 'none', joint, why: 'noReading' };
  return { kind: 'held', atMs: Date.parse(stage.ifHeldAt), joint };
}

/** The joints of a sump by whether they have the hours before stress. */
export function stressAnswer(joints: readonly JointNow[]): { readonly has: JointView[]; readonly waits: JointView[] } {
  const has = (view: JointView) => view.phase === 'stressReady' || view.phase === 'hydroReady';
  const views = joints.map(({ view }) => view);
  return { has: views.filter(has), waits: views.filter((view) => !has(view)) };
}
