import { Entry } from '../../site/entries.ts';
import { probeOfSource } from '../../site/sources.ts';
import { applyEntry } from '../../site/state/apply.ts';
import { emptySite, type SiteState } from '../../site/state/site.ts';
import { bearsOnSubject, probesOf } from '../bearing.ts';
import type { Block } from '../block.ts';
import type { Bundle } from '../bundle.ts';
import type { Placed } from '../sealed.ts';
import type { Enclosed } from './canonical.ts';
import { failed, type Looked, passed } from './looked.ts';

/** What the enclosed entries add up to. */
export interface Replayed {
  readonly entries: readonly Placed[];
  readonly site: SiteState;
}

const CONSEQUENCE = 'The record cannot be put together from the bundle: something is missing, or does not belong there.';

/** The entries are known, follow from one another, and speak of what the bundle is about, and so do the readings. */
export function lookAtReplay({ entries }: Enclosed, { subject }: Bundle, blocks: readonly Block[]): Looked<Replayed> {
  const site = emptySite();
  const placed: Placed[] = [];
  for (const { where, seq, entry } of entries) {
    const read = Entry.safeParse(entry);
    if (!read.success)
      return failed(
        `${where}: this program does not know such an entry (${String(entry.kind)}).`,
        'It is of a later version, or was never written by this program. Use the version that the bundle was made with.',
      );
    try {
      applyEntry(site, read.data, seq);
    } catch (fault) {
      return failed(`${where}: ${(fault as Error).message}.`, CONSEQUENCE);
    }
    placed.push({ seq, entry: read.data });
  }
  const missing = subject.joints.find((joint) => !site.joints.has(joint));
  if (missing !== undefined) return failed(`Joint ${missing} is in no entry.`, CONSEQUENCE);
  if (subject.sump !== null) {
    const joints = site.sumps.get(subject.sump)?.joints;
    if (joints === undefined) return failed(`Sump ${subject.sump} is in no entry.`, CONSEQUENCE);
    if (joints.join() !== subject.joints.join())
      return failed(
        `Sump ${subject.sump} has the joints ${joints.join(', ')}; the bundle is about ${subject.joints.join(', ')}.`,
        CONSEQUENCE,
      );
  }
  const bears = bearsOnSubject(site, subject);
  const stranger = placed.findIndex(({ entry, seq }) => !bears(entry, seq));
  if (stranger >= 0) return failed(`${entries[stranger]?.where} does not bear on what the bundle is about.`, CONSEQUENCE);
  const probes = probesOf(site, subject);
  const block = blocks.find(({ probe }) => !probes.has(probeOfSource(probe)));
  if (block !== undefined) return failed(`A block holds readings of ${block.probe}, which no joint here ever had.`, CONSEQUENCE);
  return passed({ entries: placed, site }, `${placed.length} entries follow from one another.`);
}
