import { verifyText } from '../text/verifyText.ts';

/** What may be concluded, and what not, beside every verdict. */
export function Proves({ sentences }: { sentences: readonly string[] }) {
  return (
    <section class="panel proves" aria-labelledby="proves-title">
      <h2 id="proves-title">{verifyText.proves}</h2>
      <ul class="sentences">
        {sentences.map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
    </section>
  );
}
