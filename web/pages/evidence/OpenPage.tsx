import { useEffect, useState } from 'preact/hooks';
import { Link } from 'wouter-preact';
import type { Bench } from '../../evidence/court.ts';
import { FilePick } from '../../evidence/FilePick.tsx';
import { Mark } from '../../evidence/Mark.tsx';
import type { Opened } from '../../evidence/opened.ts';
import { type Judged, useJudged } from '../../evidence/useJudged.ts';
import { firstWrong, outcomeOf, spokenVerdict, VerdictNote } from '../../evidence/VerdictNote.tsx';
import { momentIn } from '../../evidence/when.ts';
import { openedText as words } from '../../text/openedText.ts';
import { verifyText } from '../../text/verifyText.ts';
import { EvidenceNav } from './EvidenceNav.tsx';
import { OpenedJointSection } from './OpenedJoint.tsx';
import '../../style/verify.css';
import '../../style/evidence.css';

const bench: Bench<Opened | null> = {
  thread: () => new Worker(new URL('../../evidence/openWorker.ts', import.meta.url), { type: 'module' }),
  here: async (asked, tell) => (await import('../../evidence/judgeAndOpen.ts')).judgeAndOpen(asked, tell),
};

/** An old bundle on screen, to be read only; nothing of it is mixed with what is live. */
export function OpenPage() {
  const { judged, judge } = useJudged(bench);
  const opened = judged?.contents ?? null;
  return (
    <div class="page evidence-page">
      <EvidenceNav here="open" />
      <div>
        <h1 tabIndex={-1}>{words.title}</h1>
        <p class="soft">{words.lead}</p>
      </div>
      <div class="panel">
        <FilePick isAgain={judged !== null} onPick={(file) => judge(file, null)} />
      </div>
      <p class={judged?.verdict == null ? 'verify-going' : 'only-heard'} role="status">
        {judged !== null && heard(judged)}
      </p>
      {judged?.unread != null && <p class="problem">{verifyText.verdict.unreadMore(judged.unread)}</p>}
      {judged?.verdict != null && opened === null && <VerdictNote verdict={judged.verdict} />}
      {judged?.verdict != null && opened === null && <p>{words.unreadable}</p>}
      {judged?.verdict != null && opened !== null && (
        <>
          <Banner judged={judged} opened={opened} />
          {opened.report !== null && <SaveReport opened={opened} report={opened.report} />}
          {opened.joints.length > 1 && (
            <nav aria-label={words.joints}>
              <ul class="opened-joints">
                {opened.joints.map(({ record }) => (
                  <li key={record.joint}>
                    <a class="button" href={`#opened-${record.joint}`}>
                      {record.label}
                    </a>
                  </li>
                ))}
              </ul>
            </nav>
          )}
          {opened.joints.map((joint) => (
            <OpenedJointSection key={joint.record.joint} joint={joint} opened={opened} />
          ))}
        </>
      )}
    </div>
  );
}

/** Whose it is, of when, and whether it holds. The first of it stays in sight while anything of the bundle does. */
function Banner({ judged: { verdict }, opened }: { judged: Judged<Opened | null>; opened: Opened }) {
  if (verdict === null) return null;
  const outcome = outcomeOf(verdict);
  const first = firstWrong(verdict);
  return (
    <>
      <p class={`opened-strip is-${outcome}`}>
        <Mark as={outcome} />
        <b>{words.banner}</b> <span>{words.holds[outcome]}</span>
      </p>
      <section class={`opened-banner is-${outcome}`} aria-label={words.banner}>
        <p>{words.bannerMore(opened.name ?? opened.site, momentIn(opened.asOfMs, opened.timeZone))}</p>
        <p>
          <b>{words.verdict[outcome]}</b>
        </p>
        {first !== undefined && (
          <p>
            {first.title}: {first.detail} {first.consequence}
          </p>
        )}
        <p>{verifyText.facts.notAnchored}</p>
        <Link href="/evidence/verify" class="evidence-plain-link opened-more">
          {words.toChecks}
        </Link>
      </section>
    </>
  );
}

function SaveReport({ opened, report }: { opened: Opened; report: Uint8Array<ArrayBuffer> }) {
  const [address, setAddress] = useState<string | null>(null);
  useEffect(() => {
    const made = URL.createObjectURL(new Blob([report], { type: 'application/pdf' }));
    setAddress(made);
    return () => URL.revokeObjectURL(made);
  }, [report]);
  if (address === null) return null;
  return (
    <a class="button opened-report" href={address} download={words.reportName(opened.site)}>
      {words.report}
    </a>
  );
}

function heard({ titles, checks, verdict, unread }: Judged<Opened | null>): string {
  if (unread !== null) return verifyText.verdict.unread;
  if (verdict !== null) return spokenVerdict(verdict);
  return checks.length === 0 ? verifyText.reading : words.going(checks.length, titles.length);
}
