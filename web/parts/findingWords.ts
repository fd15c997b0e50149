import type { FindingView } from '../../edge/site/views/finding.ts';
import { probeName, sumpName, sumps } from '../live/store.ts';
import { difference, roughSpan, signed, temperature } from '../look/format.ts';
import { findingText } from '../text/findingText.ts';
import { text } from '../text/text.ts';
import { titleText } from '../text/titleText.ts';
import { workText } from '../text/workText.ts';

/** Evidence that is a difference of temperatures, and not a temperature. */
const DIFFERENCES = new Set(['leastMarginMilliC', 'apartMilliC', 'ambientMovedMilliC', 'othersMovedMilliC', 'changeMilliC']);

/** A finding's title and what its evidence says, in sentences. */
export function findingWords(finding: FindingView): { readonly title: string; readonly said: string; readonly todo: string } {
  const { said, todo } = workText.evidence[finding.code];
  const more = finding.numbers.more;
  const sentences = [said((name) => evidenceOf(finding, name))];
  if (more !== undefined) sentences.push(findingText.more(String(more)));
  return { title: titleText.titleOf[finding.code], said: sentences.join(' '), todo };
}

/** One piece of evidence, ready to read; `a|b`: whichever there is. */
function evidenceOf(finding: FindingView, names: string): string {
  for (const name of names.split('|')) {
    const number = finding.numbers[name];
    if (number !== undefined) return numberWords(name, number);
    const word = finding.words[name];
    if (word !== undefined && word !== '') return wordOf(finding, name, word);
  }
  return findingText.unsaid;
}

function numberWords(name: string, number: number): string {
  if (DIFFERENCES.has(name)) return signed(difference(number / 1000));
  if (name.endsWith('MilliC') || name === 'milliC') return temperature(number / 1000);
  if (name.startsWith('milliPercent') || name.endsWith('MilliPercent')) return `${Math.round(number / 10) / 100} %`;
  if (name === 'milliVolts') return `${(number / 1000).toFixed(2)} V`;
  if (name.endsWith('Ms')) return roughSpan(Math.abs(number));
  return name.endsWith('Hundredths') ? (number / 100).toFixed(1) : String(number);
}

function wordOf(finding: FindingView, name: string, word: string): string {
  if (name === 'stages') return text.listAnd(word.split(', ').map((stage) => (text.stage[stage] ?? stage).toLowerCase()));
  if (name !== 'activity') return word;
  return sumps.value.get(finding.sump)?.value.activities.find(({ activity }) => activity === word)?.label ?? word;
}

export const probesOf = ({ probes }: FindingView) => findingText.probes(text.listAnd(probes.map(probeName)));

export const sumpOf = ({ sump }: FindingView) => sumpName(sump);
