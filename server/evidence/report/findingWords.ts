import type { FindingView } from '../../../edge/site/views/finding.ts';
import type { SumpView } from '../../../edge/site/views/sump.ts';
import { common } from '../../../web/text/en/common.ts';
import { deciding } from '../../../web/text/en/deciding.ts';
import { evidence } from '../../../web/text/en/evidence.ts';
import { titleOf } from '../../../web/text/en/findingTitles.ts';
import { clipped, stageName } from './about.ts';
import { difference, type SiteClock, span, temperature } from './figures.ts';
import type { Run } from './table.ts';

/** Evidence that is a difference of temperatures, and not a temperature. */
const DIFFERENCES = new Set(['leastMarginMilliC', 'apartMilliC', 'ambientMovedMilliC', 'othersMovedMilliC', 'changeMilliC']);
/** Longer reasons stand in full further on. */
const FIRST_WORDS = 140;

export const titleOfFinding = ({ code }: FindingView) => titleOf[code];

/** When it was, or since when it is. */
export function whenOf({ from, to }: FindingView, clock: SiteClock): string {
  if (to === null) return deciding.since(clock.at(from));
  return from === to ? clock.at(from) : clock.fromTo(from, to);
}

/** What its evidence says, in sentences. */
export function saidOf(finding: FindingView, { activities }: Pick<SumpView, 'activities'>): string {
  const more = finding.numbers.more;
  const sentences = [evidence[finding.code].said((name) => evidenceOf(finding, name, activities))];
  if (more !== undefined) sentences.push(deciding.more(String(more)));
  return sentences.join(' ');
}

/** One piece of evidence, ready to read; `a|b`: whichever there is. */
function evidenceOf(finding: FindingView, names: string, activities: SumpView['activities']): string {
  for (const name of names.split('|')) {
    const number = finding.numbers[name];
    if (number !== undefined) return numberWords(name, number);
    const word = finding.words[name];
    if (word === undefined || word === '') continue;
    if (name === 'stages') return common.listAnd(word.split(', ').map((stage) => stageName(stage).toLowerCase()));
    if (name === 'activity') return activities.find(({ activity }) => activity === word)?.label ?? word;
    return word;
  }
  return deciding.unsaid;
}

function numberWords(name: string, number: number): string {
  if (DIFFERENCES.has(name)) return difference(number / 1000);
  if (name.endsWith('MilliC') || name === 'milliC') return temperature(number / 1000);
  if (name.startsWith('milliPercent') || name.endsWith('MilliPercent')) return `${Math.round(number / 10) / 100} %`;
  if (name === 'milliVolts') return `${(number / 1000).toFixed(2)} V`;
  if (name.endsWith('Ms')) return span(Math.abs(number));
  return name.endsWith('Hundredths') ? (number / 100).toFixed(1) : String(number);
}

/** Whether anybody decided, who, when and why. `isShort`: a long reason only begins. */
export function decisionOf(finding: FindingView, clock: SiteClock, isShort: boolean): Run[] {
  const { decision, open, severity } = finding;
  if (decision === null)
    return [severity === 'note' ? { text: 'A note: nobody has to decide.' } : { text: 'Open: nobody has decided.', bold: true }];
  const { decision: what, by, role, at, reason } = decision;
  const words = deciding.because(isShort ? clipped(reason, FIRST_WORDS) : reason);
  return [
    ...(open ? [{ text: 'Open again: it went on, or is not settled by the decision.', bold: true }] : []),
    { text: `${deciding.decidedBy(deciding.decision[what], by, role, clock.at(at))}.` },
    { text: words },
  ];
}

/** Every decision but the one in force, taken back or not. */
export function earlierDecisions({ decision, decisions }: FindingView, clock: SiteClock): Run[] {
  return decisions
    .filter(({ seq }) => seq !== decision?.seq)
    .flatMap(({ seq, text, by, role, at, withdrawn }) => [
      { text: `Entry ${seq}, ${by} (${role}), ${clock.at(at)}: ${text}`, strike: withdrawn !== null },
      ...(withdrawn === null ? [] : [{ text: `Taken back by ${withdrawn.by}, ${clock.at(withdrawn.at)}: ${withdrawn.reason}` }]),
    ]);
}
