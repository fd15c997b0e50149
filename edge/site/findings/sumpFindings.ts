import type { SiteState } from '../state/site.ts';
import type { Sump } from '../state/sump.ts';
import { decided, type Finding } from './finding.ts';

/** Findings on a sump as a whole: what was started before its time. They stay for good, decided or not. */
export function sumpFindings(site: SiteState, sump: Sump): Finding[] {
  return sump.startedEarly.map(({ activity, seq, atMs, reason, early, by }) => {
    const missingHours = Math.max(0, ...early.map((need) => need.missingHours ?? 0));
    return decided(site, {
      code: 'started-early',
      anchor: `e${seq}`,
      sump: sump.sump,
      joint: null,
      probes: [],
      fromMs: atMs,
      toMs: atMs,
      numbers: { missingMs: Math.ceil(missingHours * 3_600_000) },
      words: { activity, reason: reason ?? '', by: by.name, missing: early.map(({ need }) => need).join(', ') },
      blocks: [],
    });
  });
}
