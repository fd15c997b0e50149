import type { Bench } from '../../evidence/court.ts';
import { Verification } from '../../evidence/Verification.tsx';
import { verifyText } from '../../text/verifyText.ts';
import { EvidenceNav } from './EvidenceNav.tsx';
import '../../style/evidence.css';

const bench: Bench<never> = {
  thread: () => new Worker(new URL('../../evidence/verifyWorker.ts', import.meta.url), { type: 'module' }),
  here: async (asked, tell) => (await import('../../evidence/judge.ts')).judge(asked, tell),
};

/** The same verification as on the offline page, by the same code, in this browser. */
export function VerifyPage() {
  return (
    <div class="page evidence-page">
      <EvidenceNav here="verify" />
      <div>
        <h1 tabIndex={-1}>{verifyText.title}</h1>
        <p class="soft">{verifyText.lead}</p>
      </div>
      <Verification bench={bench} />
    </div>
  );
}
