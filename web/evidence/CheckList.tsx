import type { Check, CheckId } from '../../edge/evidence/verify.ts';
import { verifyText } from '../text/verifyText.ts';
import { Mark, type Standing } from './Mark.tsx';

interface Props {
  titles: readonly (readonly [CheckId, string])[];
  /** Those that are done. */
  checks: readonly Check[];
  /** The reader gave a fingerprint to compare the key with. */
  isKeyGiven: boolean;
}

/** Every check in its order, each with a shape and a word for how it stands. */
export function CheckList({ titles, checks, isKeyGiven }: Props) {
  return (
    <section class="panel" aria-labelledby="checks-title">
      <h2 id="checks-title">{verifyText.checks}</h2>
      <ol class="checks">
        {titles.map(([id, title], index) => {
          const check = checks[index];
          const isLeft = id === 'key' && !isKeyGiven;
          const standing = standingOf(check, index === checks.length, isLeft);
          return (
            <li key={id} class={`check is-${standing}`} data-check={id}>
              <Mark as={standing} />
              <div>
                <p class="check-title">
                  {title} <span class="check-word">{verifyText.state[standing]}</span>
                </p>
                {check !== undefined && <p class="check-detail">{check.detail}</p>}
                {check?.consequence != null && (
                  <p class="check-consequence">
                    {verifyText.means}: {check.consequence}
                  </p>
                )}
              </div>
            </li>
          );
        })}
      </ol>
    </section>
  );
}

function standingOf(check: Check | undefined, isNext: boolean, isLeft: boolean): Standing {
  if (check === undefined) return isNext ? 'going' : 'waiting';
  if (!check.looked) return 'skipped';
  if (!check.ok) return 'wrong';
  return isLeft ? 'open' : 'right';
}
