import { useState } from 'preact/hooks';
import { verifyText } from '../text/verifyText.ts';
import { BundleFacts } from './BundleFacts.tsx';
import { CheckList } from './CheckList.tsx';
import type { Bench } from './court.ts';
import { FilePick } from './FilePick.tsx';
import { KeyField } from './KeyField.tsx';
import { Proves } from './Proves.tsx';
import { Recounted } from './Recounted.tsx';
import { type Judged, useJudged } from './useJudged.ts';
import { spokenVerdict, VerdictNote } from './VerdictNote.tsx';
import '../style/verify.css';

/** A file comes in, and every check of it goes out; nothing leaves the device. */
export function Verification({ bench }: { bench: Bench<never> }) {
  const { judged, judge } = useJudged(bench);
  const [trustedKey, setTrustedKey] = useState<string | null>(null);
  const { verdict = null } = judged ?? {};
  return (
    <div class="verification">
      <div class="panel verify-ask">
        <FilePick isAgain={judged !== null} onPick={(file) => judge(file, trustedKey)} />
        <KeyField
          trustedKey={trustedKey}
          onKey={(key) => {
            if (key === trustedKey) return;
            setTrustedKey(key);
            if (judged !== null) judge(judged.file, key);
          }}
        />
      </div>
      <p class={verdict === null ? 'verify-going' : 'only-heard'} role="status">
        {judged !== null && heard(judged)}
      </p>
      {judged !== null && verdict === null && judged.unread === null && (
        <progress max={judged.titles.length || 1} value={judged.checks.length} aria-hidden="true" />
      )}
      {judged?.unread != null && (
        <section class="verdict is-wrong">
          <div>
            <h2>{verifyText.verdict.unread}</h2>
            <p>{verifyText.verdict.unreadMore(judged.unread)}</p>
          </div>
        </section>
      )}
      {verdict !== null && <VerdictNote verdict={verdict} />}
      {judged !== null && verdict !== null && (
        <div class="verify-pair">
          <BundleFacts judged={judged} />
          <Proves sentences={verdict.proves} />
        </div>
      )}
      {judged !== null && judged.titles.length > 0 && (
        <CheckList titles={judged.titles} checks={judged.checks} isKeyGiven={judged.trustedKey !== null} />
      )}
      {verdict?.record != null && <Recounted record={verdict.record} />}
      {verdict !== null && (
        <button type="button" class="button verify-print" onClick={() => print()}>
          {verifyText.print}
        </button>
      )}
    </div>
  );
}

/** How far it is, and what came of it. */
function heard({ titles, checks, verdict, unread }: Judged<never>): string {
  if (unread !== null) return verifyText.verdict.unread;
  if (verdict !== null) return spokenVerdict(verdict);
  return checks.length === 0 ? verifyText.reading : verifyText.going(checks.length, titles.length);
}
