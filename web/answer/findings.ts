import type { FindingView } from '../../edge/site/views/finding.ts';

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

/** Which decisions are to be had on a finding at all. */
export function choicesOf({ joint, provable }: FindingView): Decision[] {
  return ['accept', ...(joint === null ? [] : (['redo'] as const)), ...(provable ? (['proof'] as const) : [])];
}

/** Why a decision cannot be made now; null: it can. A proof that is missing is told by the service. */
export function barTo({ severity, to, mayDecide }: FindingView, decision: Decision, role: Role): 'role' | 'goesOn' | null {
  if (!mayDecide.includes(role)) return 'role';
  return decision !== 'redo' && to === null && (severity === 'stop' || decision === 'proof') ? 'goesOn' : null;
}
