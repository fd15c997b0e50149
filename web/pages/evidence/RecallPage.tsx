import type { Problem } from '../../api/call.ts';
import { type LotRecall, recallOf } from '../../api/evidence.ts';
import { useAsked } from '../../live/asked.ts';
import { linkLost } from '../../live/facts.ts';
import { dated } from '../../look/format.ts';
import { ProblemNote } from '../../parts/form.tsx';
import { claimsText } from '../../text/claimsText.ts';
import { EvidenceNav } from './EvidenceNav.tsx';
import { Handout } from './Handout.tsx';
import { LostNote } from './LostNote.tsx';
import '../../style/evidence.css';

const words = claimsText.recall;

/** Where a lot went: every joint that it was mixed for, those that were done again since among them. */
export function RecallPage({ lot }: { lot: string }) {
  const { answer, problem } = useAsked<LotRecall>(recallOf(lot));
  const recall = answer.value;
  return (
    <div class="page evidence-page">
      <EvidenceNav here={null} />
      <div>
        <h1 tabIndex={-1}>{words.title}</h1>
        <p>
          <b>{recall?.label == null ? words.of(lot) : words.labelled(recall.label, lot)}</b>
        </p>
        <p class="soft">{words.lead}</p>
        <LostNote />
      </div>
      {problem.value !== null && !linkLost() && <Refused problem={problem.value} lot={lot} />}
      {recall === null && problem.value === null && <p class="waiting">{claimsText.search.going}</p>}
      {recall !== null && <Joints recall={recall} />}
    </div>
  );
}

function Refused({ problem, lot }: { problem: Problem; lot: string }) {
  if (problem.code !== 'not-found') return <ProblemNote problem={problem} />;
  return (
    <p class="notice" role="status">
      {words.none(lot)}
    </p>
  );
}

function Joints({ recall: { lot, joints } }: { recall: LotRecall }) {
  if (joints.length === 0)
    return (
      <p class="notice" role="status">
        {words.none(lot)}
      </p>
    );
  const sumps = new Set(joints.map(({ sump }) => sump)).size;
  return (
    <section class="hits" aria-labelledby="hits-title">
      <h2 id="hits-title">{claimsText.found.title}</h2>
      <p role="status">{words.count(joints.length, sumps)}</p>
      <Handout
        joints={joints}
        more={({ uses }) => (
          <ul class="sentences">
            {uses.map(({ as, at, by, present }) => (
              <li key={`${as} ${at}`}>
                {words.use(words.as[as], dated(Date.parse(at)), by)}
                {!present && ` ${words.earlier}`}
              </li>
            ))}
          </ul>
        )}
      />
    </section>
  );
}
