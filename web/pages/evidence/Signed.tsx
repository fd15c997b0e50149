import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { Digits } from '../../evidence/Digits.tsx';
import { utcMoment } from '../../evidence/when.ts';
import { linkLost } from '../../live/facts.ts';
import { claimsText } from '../../text/claimsText.ts';
import { text } from '../../text/text.ts';
import type { SignedFacts } from './signedFacts.ts';
import '../../style/verify.css';

const words = claimsText.seal;

/** The site's key and its newest checkpoint, for whoever keeps them elsewhere. */
export function Signed() {
  const facts = useSignal<SignedFacts | 'failed' | null>(null);
  const isLost = linkLost();
  useEffect(() => {
    if (isLost) return;
    let isGone = false;
    // What works the hashes out is fetched with this part alone.
    import('./signedFacts.ts')
      .then(({ askSigned }) => askSigned())
      .then(
        (asked) => {
          if (!isGone) facts.value = asked;
        },
        () => {
          if (!isGone) facts.value = 'failed';
        },
      );
    return () => {
      isGone = true;
    };
  }, [isLost]);
  const known = facts.value;
  return (
    <section class="panel" aria-labelledby="signed-title">
      <div>
        <h2 id="signed-title">{words.title}</h2>
        <p class="soft">{words.lead}</p>
      </div>
      {known === null && <p class="soft">{claimsText.search.going}</p>}
      {known === 'failed' && <p>{words.problem}</p>}
      {known !== null && known !== 'failed' && <Facts known={known} />}
    </section>
  );
}

function Facts({ known: { fingerprint, checkpoint, pageSha256 } }: { known: SignedFacts }) {
  return (
    <>
      <dl class="bundle-facts">
        <div>
          <dt>{words.fingerprint}</dt>
          <dd>
            <Digits of={fingerprint} />
          </dd>
        </div>
        <div>
          <dt>{words.checkpoint}</dt>
          <dd>
            {checkpoint === null
              ? words.none
              : [
                  words.size(checkpoint.size, checkpoint.size.toLocaleString(text.locale)),
                  ...(checkpoint.atMs === null ? [] : [words.at(utcMoment(checkpoint.atMs))]),
                ].join(', ')}
          </dd>
        </div>
        {checkpoint !== null && (
          <div>
            <dt>{words.root}</dt>
            <dd>
              <Digits of={checkpoint.rootHash} />
            </dd>
          </div>
        )}
        <div>
          <dt>{words.page}</dt>
          <dd>
            <a class="evidence-plain-link" href="/verify.html" download="verify.html">
              verify.html
            </a>
          </dd>
        </div>
        {pageSha256 !== null && (
          <div>
            <dt>{words.pageSum}</dt>
            <dd>
              <Digits of={pageSha256} />
            </dd>
          </div>
        )}
      </dl>
      <p>
        <b>{words.anchor}</b>
      </p>
      {checkpoint !== null && (
        <details class="more">
          <summary>{words.note}</summary>
          {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable by keyboard */}
          <pre class="signed-note" tabIndex={0}>
            {checkpoint.note}
          </pre>
        </details>
      )}
    </>
  );
}
