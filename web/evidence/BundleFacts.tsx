import type { ComponentChildren } from 'preact';
import { verifyText } from '../text/verifyText.ts';
import { Digits } from './Digits.tsx';
import type { Judged } from './useJudged.ts';
import { utcMoment } from './when.ts';

const words = verifyText.facts;

/** What was judged: the file, its site and joints, and what to compare by eye. */
export function BundleFacts({ judged }: { judged: Judged<unknown> }) {
  const { file, verdict, sha256, tookMs, atMs } = judged;
  const summary = verdict?.summary ?? null;
  const facts: [string, ComponentChildren][] = [
    [
      words.file,
      <>
        {file.name} <span class="soft">{words.bytes(file.size.toLocaleString(verifyText.locale))}</span>
      </>,
    ],
  ];
  if (summary !== null) {
    const { site, sump, joints, madeAt, checkpointAt, completeUntil, size, rootHash, fingerprint, anchored } = summary;
    facts.push(
      [words.site, site],
      ...(sump === null ? [] : [[words.about, words.sump(sump)] as [string, string]]),
      [words.joints, joints.join(', ')],
      [words.checkpointAt, checkpointAt === null ? words.none : utcMoment(Date.parse(checkpointAt))],
      [words.completeUntil, completeUntil === null ? words.completeNot : utcMoment(Date.parse(completeUntil))],
      [words.madeAt, utcMoment(Date.parse(madeAt))],
      [words.anchor, <b key="anchor">{anchored ? words.anchored : words.notAnchored}</b>],
      [words.fingerprint, fingerprint === null ? words.none : <Digits key="fingerprint" of={fingerprint} />],
      [words.size, size.toLocaleString(verifyText.locale)],
      [words.root, <Digits key="root" of={rootHash} />],
    );
  }
  if (sha256 !== null) facts.push([words.sha256, <Digits key="sha256" of={sha256} />]);
  if (atMs !== null && tookMs !== null)
    facts.push([words.checkedAt, `${utcMoment(atMs)}, ${words.took((tookMs / 1000).toFixed(1))}`]);
  return (
    <section class="panel" aria-labelledby="facts-title">
      <div>
        <h2 id="facts-title">{words.title}</h2>
        {verdict !== null && !verdict.ok && <p class="soft">{words.unread}</p>}
      </div>
      <dl class="bundle-facts">
        {facts.map(([name, value]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
    </section>
  );
}
