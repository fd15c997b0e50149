import type { Verdict } from '../../edge/evidence/verify.ts';
import { verifyText } from '../text/verifyText.ts';
import { Mark, type Standing } from './Mark.tsx';

const words = verifyText.verdict;

type Outcome = Extract<Standing, 'right' | 'open' | 'wrong'>;

/** `open`: all holds, and nobody has compared the key yet. */
export function outcomeOf({ ok, summary }: Verdict): Outcome {
  if (!ok) return 'wrong';
  return summary?.keyCompared ? 'right' : 'open';
}

export const firstWrong = ({ checks }: Verdict) => checks.find(({ ok, looked }) => looked && !ok);

/** The verdict, large; where something is wrong, the first of it with what it means. */
export function VerdictNote({ verdict }: { verdict: Verdict }) {
  const outcome = outcomeOf(verdict);
  const first = firstWrong(verdict);
  return (
    <section class={`verdict is-${outcome}`} aria-labelledby="verdict-title">
      <Mark as={outcome} />
      <div>
        <h2 id="verdict-title">{words[outcome]}</h2>
        {first === undefined ? (
          <p>{outcome === 'right' ? words.rightMore : words.openMore}</p>
        ) : (
          <>
            <p class="verdict-first">{words.first(first.title)}</p>
            <p>{first.detail}</p>
            {first.consequence !== null && (
              <p class="verdict-means">
                <b>{verifyText.means}</b> {first.consequence}
              </p>
            )}
          </>
        )}
      </div>
    </section>
  );
}

/** The same for whoever hears the page. */
export function spokenVerdict(verdict: Verdict): string {
  const first = firstWrong(verdict);
  const more = first === undefined ? '' : `${words.first(first.title)} ${first.detail} ${first.consequence ?? ''}`;
  return words.spoken(words[outcomeOf(verdict)], more);
}
