import type { Bench } from '../evidence/court.ts';
import { judge } from '../evidence/judge.ts';
import { Verification } from '../evidence/Verification.tsx';
import { verifyText } from '../text/verifyText.ts';

/** The page that is handed out with every bundle. `script`: its own, for the thread beside it. */
export function OfflinePage({ script }: { script: string }) {
  const bench: Bench<never> = {
    thread: () => {
      const address = URL.createObjectURL(new Blob([script], { type: 'text/javascript' }));
      const thread = new Worker(address);
      // It has been read by the time that the thread first answers.
      thread.addEventListener('message', () => URL.revokeObjectURL(address), { once: true });
      return thread;
    },
    here: judge,
  };
  return (
    <main class="offline-page">
      <header>
        <h1>{verifyText.title}</h1>
        <p>{verifyText.lead}</p>
        <p class="soft">{verifyText.offline}</p>
      </header>
      <Verification bench={bench} />
      <p class="caution">{verifyText.ownPage}</p>
    </main>
  );
}
