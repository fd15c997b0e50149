import type { FindingView } from '../../edge/site/views/finding.ts';
import { titleText } from '../text/titleText.ts';
import { titlesOf } from './findingTitles.ts';

interface Props {
  findings: readonly FindingView[];
  /** Those that block. */
  ids: readonly string[];
  /** The hours are there. */
  isReached: boolean;
}

/** What keeps a stage blocked, by name. */
export function Blockers({ findings, ids, isReached }: Props) {
  const { reached, open } = titleText.blockers;
  return <span class="stage-blocked">{(isReached ? reached : open)(titlesOf(findings, ids))}</span>;
}
