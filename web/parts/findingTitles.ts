import type { FindingView } from '../../edge/site/views/finding.ts';
import { text } from '../text/text.ts';
import { titleText } from '../text/titleText.ts';

/** The titles of those findings of a joint that have these ids. */
export function titlesOf(findings: readonly FindingView[], ids: readonly string[]): string {
  const titles = ids.map((id) => {
    const code = findings.find((finding) => finding.id === id)?.code;
    return code === undefined ? id : titleText.titleOf[code].toLowerCase();
  });
  return text.listAnd([...new Set(titles)]);
}
