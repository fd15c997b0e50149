import { findingsOnSite } from '../live/findings.ts';
import { head } from '../live/store.ts';
import { Caution } from '../parts/Caution.tsx';
import { text } from '../text/text.ts';
import { FindingList } from './work/FindingList.tsx';

/** Everything that the tool found on the site, what waits for somebody first. */
export function Findings() {
  if (head.value === null) return <p class="waiting">{text.page.waiting}</p>;
  const all = findingsOnSite.value;
  return (
    <div class="page findings-page">
      <div>
        <h1 tabIndex={-1}>{text.findings.title}</h1>
        <p class="soft">{text.findings.lead}</p>
      </div>
      {all.length === 0 ? <p class="notice">{text.findings.none}</p> : <FindingList findings={all} placed />}
      <Caution />
    </div>
  );
}
