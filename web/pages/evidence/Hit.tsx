import type { ComponentChildren } from 'preact';
import { Link } from 'wouter-preact';
import { bundleOf, type EvidenceJoint, type Paper, readingsOf, reportOf, sumpBundleOf } from '../../api/evidence.ts';
import { linkLost } from '../../live/facts.ts';
import { dated } from '../../look/format.ts';
import { claimsText } from '../../text/claimsText.ts';
import { text } from '../../text/text.ts';
import { fetchPacket } from './packets.ts';

const words = claimsText.found;
const { packet } = claimsText;

interface Props {
  found: EvidenceJoint;
  paper: Paper;
  isTicked: boolean;
  onTick: (joint: string, isTicked: boolean) => void;
  children?: ComponentChildren;
}

/** A joint that was found: how it stands, and its packet at one tap. */
export function Hit({ found, paper, isTicked, onTick, children }: Props) {
  const { joint, label, sump, sumpLabel, serial, laidUpAt, lots, people, findings, sealedAt } = found;
  const name = text.jointOfSump(label, sumpLabel);
  const phase = text.phase[found.phase as keyof typeof text.phase] ?? found.phase;
  const isLost = linkLost();
  const fetchIt = (path: string, what: string) => void fetchPacket(path, `${name}, ${what}`);
  return (
    <article class={`hit ${isTicked ? 'is-ticked' : ''}`} aria-labelledby={`hit-${joint}`}>
      <div>
        <h3 id={`hit-${joint}`}>
          <Link href={`/evidence/joints/${encodeURIComponent(joint)}`} aria-label={words.storyOf(name)}>
            {name}
          </Link>
        </h3>
        <p class="hit-state">
          <b>{phase}</b>
          {serial !== null && <span>{words.serial(serial)}</span>}
          <span>{laidUpAt === null ? words.notLaidUp : words.laidUp(dated(Date.parse(laidUpAt)))}</span>
          <span>{sealedAt === null ? words.neverSealed : words.sealed(dated(Date.parse(sealedAt)))}</span>
        </p>
        <p>{findings.open + findings.decided === 0 ? words.noFindings : words.findings(findings.open, findings.decided)}</p>
        {lots.length > 0 && (
          <ul class="hit-lots" aria-label={words.lots}>
            {lots.map((lot) => (
              <li key={lot}>
                <Link class="evidence-plain-link" href={`/evidence/lots/${encodeURIComponent(lot)}`}>
                  {words.lot(lot)}
                </Link>
              </li>
            ))}
          </ul>
        )}
        {people.length > 0 && <p class="soft">{words.people(people.join(', '))}</p>}
        {children}
      </div>
      <div class="evidence-buttons">
        <button
          type="button"
          class="button primary"
          disabled={isLost}
          aria-label={packet.zipOf(name)}
          onClick={() => fetchIt(bundleOf(joint, paper), packet.zip)}
        >
          {packet.zip}
        </button>
        <label class="tick">
          <input
            type="checkbox"
            checked={isTicked}
            aria-label={words.tick(name)}
            onChange={({ currentTarget }) => onTick(joint, currentTarget.checked)}
          />
          {packet.tick}
        </label>
      </div>
      <details class="more">
        <summary aria-label={packet.moreOf(name)}>{packet.more}</summary>
        <div class="evidence-buttons">
          <button
            type="button"
            class="button"
            disabled={isLost}
            onClick={() => fetchIt(reportOf(joint, paper), packet.pdf[paper])}
          >
            {packet.pdf[paper]}
          </button>
          <button type="button" class="button" disabled={isLost} onClick={() => fetchIt(readingsOf(joint), packet.csv)}>
            {packet.csv}
          </button>
          <button
            type="button"
            class="button"
            disabled={isLost}
            onClick={() => void fetchPacket(sumpBundleOf(sump, paper), sumpLabel)}
          >
            {packet.sump(sumpLabel)}
          </button>
        </div>
      </details>
    </article>
  );
}
