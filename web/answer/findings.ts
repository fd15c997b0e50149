import type { FindingView } from '../../edge/site/views/finding.ts';
import type { JointView } from '../../edge/site/views/joint.ts';

export type Decision = 'accept' | 'redo' | 'proof';
type Role = FindingView['mayDecide'][number];

const WEIGHT: Readonly<Record<FindingView['severity'], number>> = { stop: 0, warning: 1, note: 2 };

/** Open ones first, then by weight, then the newest first. */
export function inOrder(findings: readonly FindingView[]): FindingView[] {
  return [...findings].sort(
    (a, b) =>
      Number(b.open) - Number(a.open) || WEIGHT[a.severity] - WEIGHT[b.severity] || Date.parse(b.from) - Date.parse(a.from),
  );
}

/** Whether somebody has to decide on it before work goes on: a note waits for nobody. */
export const waits = ({ open, severity }: FindingView) => open && severity !== 'note';

/** Which decisions are to be had on a finding at all: what does not stop the joint is no reason to make it anew. */
export function choicesOf({ joint, severity, provable }: FindingView): Decision[] {
  const isRedoable = joint !== null && severity === 'stop';
  return ['accept', ...(isRedoable ? (['redo'] as const) : []), ...(provable ? (['proof'] as const) : [])];
}

export type Bar = 'role' | 'goesOn' | 'notLaidUp' | 'noProof';

/** Why a decision cannot be made now; null: it can. `joint` is that of the finding, where it has one. */
export function barTo(
  { severity, to, mayDecide }: FindingView,
  decision: Decision,
  role: Role,
  joint: Pick<JointView, 'laidUpAt' | 'proofs'> | null,
): Bar | null {
  if (!mayDecide.includes(role)) return 'role';
  if (decision === 'redo') return joint?.laidUpAt == null ? 'notLaidUp' : null;
  if (to === null) return severity === 'stop' || decision === 'proof' ? 'goesOn' : null;
  if (decision === 'accept') return null;
  const counts = joint?.proofs.some(({ verdict, at }) => verdict === 'pass' && Date.parse(at) >= Date.parse(to)) ?? false;
  return counts ? null : 'noProof';
}
