import { Link, useLocation, useSearch } from 'wouter-preact';
import type { EvidenceFound } from '../../api/evidence.ts';
import { useAsked } from '../../live/asked.ts';
import { linkLost } from '../../live/facts.ts';
import { head, siteZone } from '../../live/store.ts';
import { ProblemNote } from '../../parts/form.tsx';
import { claimsText as words } from '../../text/claimsText.ts';
import { text } from '../../text/text.ts';
import { EvidenceNav } from './EvidenceNav.tsx';
import { Handout } from './Handout.tsx';
import { LostNote } from './LostNote.tsx';
import { queryOf } from './query.ts';
import { SearchForm } from './SearchForm.tsx';
import { Signed } from './Signed.tsx';
import '../../style/evidence.css';

/** Finds joints by what a claim says, and hands out what proves them. */
export function FindPage() {
  const search = useSearch();
  const [, go] = useLocation();
  const asked = new URLSearchParams(search);
  // Days are days of the site.
  if (head.value === null) return <p class="waiting">{text.page.waiting}</p>;
  const query = queryOf(asked, siteZone());
  return (
    <div class="page evidence-page">
      <EvidenceNav here="find" />
      <div>
        <h1 tabIndex={-1}>{words.title}</h1>
        <p class="soft">{words.lead}</p>
        <LostNote />
      </div>
      <SearchForm key={search} asked={asked} onAsk={(wanted) => go(wanted.size === 0 ? '/evidence' : `/evidence?${wanted}`)} />
      <Found key={query} query={query} lot={asked.get('lot')} />
      <Signed />
    </div>
  );
}

function Found({ query, lot }: { query: string; lot: string | null }) {
  const { answer, problem } = useAsked<EvidenceFound>(query === '' ? '/api/evidence' : `/api/evidence?${query}`);
  const found = answer.value;
  if (problem.value !== null && !linkLost()) return <ProblemNote problem={problem.value} />;
  if (found === null) return <p class="waiting">{words.search.going}</p>;
  if (found.joints.length === 0)
    return (
      <p class="notice" role="status">
        {query === '' ? words.found.empty : words.found.none}
      </p>
    );
  return (
    <section class="hits" aria-labelledby="hits-title">
      <div>
        <h2 id="hits-title">{words.found.title}</h2>
        <p role="status">{words.found.count(found.total)}</p>
        {found.total > found.joints.length && <p class="soft">{words.found.most(found.joints.length)}</p>}
        {lot !== null && (
          <Link class="evidence-plain-link" href={`/evidence/lots/${encodeURIComponent(lot)}`}>
            {words.recall.all(lot)}
          </Link>
        )}
      </div>
      <Handout joints={found.joints} />
    </section>
  );
}
