import { Link } from 'wouter-preact';
import { findingsOnSite } from '../live/findings.ts';
import { head } from '../live/store.ts';
import { Caution } from '../parts/Caution.tsx';
import { findingText } from '../text/findingText.ts';
import { text } from '../text/text.ts';
import { FindingList } from './crew/FindingList.tsx';

/** Everything that the tool found on the site, what waits for somebody first. */
export function Findings() {
  if (head.value === null) return <p class="waiting">{text.page.waiting}</p>;
  const all = findingsOnSite.value;
  return (
    <div class="page findings-page">
      <div>
        <h1 tabIndex={-1}>{findingText.title}</h1>
        <p class="soft">{findingText.lead}</p>
      </div>
      <Link href="/evidence" class="button evidence-way">
        {text.nav.evidence}
      </Link>
      {all.length === 0 ? <p class="notice">{findingText.none}</p> : <FindingList findings={all} placed />}
      <Caution />
    </div>
  );
}
