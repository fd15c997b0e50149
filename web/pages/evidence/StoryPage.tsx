import { Link } from 'wouter-preact';
import type { FindingView } from '../../../edge/site/views/finding.ts';
import type { JointView } from '../../../edge/site/views/joint.ts';
import { bundleOf } from '../../api/evidence.ts';
import type { History, HistoryEvent } from '../../api/shapes.ts';
import { eventName } from '../../chart/EventWords.tsx';
import { heatingMore } from '../../chart/eventTitles.ts';
import { momentIn } from '../../evidence/when.ts';
import { useAsked } from '../../live/asked.ts';
import { linkLost } from '../../live/facts.ts';
import { jointOfSump, probeName } from '../../live/store.ts';
import { findingWords } from '../../parts/findingWords.ts';
import { ProblemNote } from '../../parts/form.tsx';
import { Icon } from '../../parts/Icon.tsx';
import { claimsText } from '../../text/claimsText.ts';
import { personText } from '../../text/personText.ts';
import { storyText } from '../../text/storyText.ts';
import { text } from '../../text/text.ts';
import { EvidenceNav } from './EvidenceNav.tsx';
import { PacketNote } from './PacketNote.tsx';
import { fetchPacket } from './packets.ts';
import { StoryLines } from './StoryLines.tsx';
import type { StoryLine } from './story.ts';
import '../../style/evidence.css';

const words = claimsText.story;

/** The story of a joint as the site's record tells it now. */
export function StoryPage({ joint }: { joint: string }) {
  const name = encodeURIComponent(joint);
  const history = useAsked<History>(`/api/joints/${name}/history?points=2`);
  const view = useAsked<JointView>(`/api/joints/${name}`);
  const problem = history.problem.value ?? view.problem.value;
  const told = history.answer.value;
  const findings = view.answer.value?.findings;
  const title = jointOfSump(joint);
  return (
    <div class="page evidence-page">
      <EvidenceNav here={null} />
      <div>
        <button type="button" class="back" onClick={() => window.history.back()}>
          <Icon name="back" />
          {words.back}
        </button>
        <h1 tabIndex={-1}>{words.title(title)}</h1>
        <p class="soft">{words.lead}</p>
      </div>
      {problem !== null && !linkLost() && <ProblemNote problem={problem} />}
      {(told === null || findings === undefined) && problem === null && <p class="waiting">{words.loading}</p>}
      {told !== null && findings !== undefined && (
        <>
          <div class="evidence-buttons">
            <button
              type="button"
              class="button primary"
              disabled={linkLost()}
              onClick={() => void fetchPacket(bundleOf(joint), title)}
            >
              {words.bundle}
            </button>
            <Link class="button" href={`/joints/${name}`}>
              {title}
            </Link>
          </div>
          <PacketNote />
          <section class="panel" aria-labelledby="story-title">
            <h2 id="story-title">{storyText.title}</h2>
            <StoryLines lines={linesOf(told.events, findings, told.timeZone)} zone={told.timeZone} />
          </section>
        </>
      )}
    </div>
  );
}

const PROMPT_MS = 2 * 60_000;

function linesOf(events: readonly HistoryEvent[], findings: readonly FindingView[], zone: string): StoryLine[] {
  const lines = [
    // Decisions stand with what was found, where they are told in full.
    ...events.filter(({ kind }) => kind !== 'decided').map((event, place) => ofEvent(event, place, zone)),
    ...findings.flatMap((finding) => ofFinding(finding, zone)),
  ];
  return lines.sort((one, other) => one.atMs - other.atMs || (one.seq ?? 0) - (other.seq ?? 0));
}

function ofEvent(event: HistoryEvent, place: number, zone: string): StoryLine {
  const { at, recordedAt, kind, by, seq, withdrawn } = event;
  const isStage = kind === 'stage';
  return {
    key: `v${seq ?? `s${place}`}`,
    atMs: at,
    recordedMs: recordedAt !== null && recordedAt - at > PROMPT_MS ? recordedAt : null,
    title: isStage ? storyText.stage(text.stage[event.text] ?? event.text) : eventName(event),
    said: isStage ? [] : saidOf(event),
    by: isStage ? storyText.provenBy(probeName(by)) : by,
    seq,
    withdrawn: withdrawn === null ? null : storyText.withdrawn(withdrawn.by, momentIn(withdrawn.at, zone), withdrawn.reason),
    mark: isStage ? 'stage' : 'said',
  };
}

function saidOf({ kind, text: said }: HistoryEvent): string[] {
  if (said === '') return [];
  if (kind === 'heating') return [heatingMore(said)];
  return [kind === 'assigned' ? text.listAnd(said.split(', ').map(probeName)) : said];
}

function ofFinding(finding: FindingView, zone: string): StoryLine[] {
  const { id, from, open, decisions } = finding;
  const { title, said } = findingWords(finding);
  const found: StoryLine = {
    key: id,
    atMs: Date.parse(from),
    recordedMs: null,
    title: words.found(title),
    said: [said, ...(open ? [words.waiting] : [])],
    by: text.appName,
    seq: null,
    withdrawn: null,
    mark: 'decided',
  };
  const decided = decisions.map(
    ({ seq, at, recordedAt, by, role, text: reason, withdrawn }): StoryLine => ({
      key: `d${seq}`,
      atMs: Date.parse(at),
      recordedMs: Date.parse(recordedAt) - Date.parse(at) > PROMPT_MS ? Date.parse(recordedAt) : null,
      title: words.decided,
      said: [`“${title}”: ${reason}`],
      by: storyText.by(by, personText.settings.roleName[role as 'crew'] ?? role),
      seq,
      withdrawn:
        withdrawn === null ? null : storyText.withdrawn(withdrawn.by, momentIn(Date.parse(withdrawn.at), zone), withdrawn.reason),
      mark: 'decided',
    }),
  );
  return [found, ...decided];
}
