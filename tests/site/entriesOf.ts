import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { compileRateTable } from '../../edge/cure/rateTable.ts';
import type { Schedule } from '../../edge/cure/schedule.ts';
import { rateTableSha256 } from '../../edge/evidence/canonical.ts';
import { type Entry, Entry as EntrySchema, Statement } from '../../edge/site/entries.ts';
import { applyEntry } from '../../edge/site/state/apply.ts';
import { emptySite, type SiteState } from '../../edge/site/state/site.ts';

/** A statement as somebody sends it, before its defaults are filled in. */
export type Said = Parameters<typeof Statement.parse>[0] & object;

const by = { name: 'A. Layer', role: 'crew' } as const;

/** `said`, checked by the schema of statements. */
export function statement(said: Said): Statement {
  return Statement.parse(said);
}

/** `said` as the ledger holds it. */
export function entry(said: Said, recordedAt = '2026-01-15T12:00:00Z'): Entry {
  return EntrySchema.parse({ ...said, recordedAt, by });
}

/** A schedule put on record. */
export function scheduleEntry(schedule: Schedule, recordedAt?: string): Entry {
  const table = compileRateTable(schedule);
  return entry({ kind: 'schedule.recorded', definition: schedule, table, rateTableSha256: rateTableSha256(table) }, recordedAt);
}

export function siteWith(...entries: readonly Entry[]): SiteState {
  const site = emptySite();
  entries.forEach((each, index) => {
    applyEntry(site, each, index + 1);
  });
  return site;
}

/** A site's state as plain data, without what it was worked out from: who said what, and how to work it out anew. */
export function plain(site: SiteState) {
  const derived = <T extends object>(of: T) =>
    Object.fromEntries(
      Object.entries(of).filter(([key]) => !['said', 'withdrawals', 'rederive', 'events', 'given'].includes(key)),
    );
  const all = (of: ReadonlyMap<string, object>) => [...of.values()].map(derived);
  const { probes, joints, sumps, warnings, ...rest } = site;
  return { ...derived(rest), probes: all(probes), joints: all(joints), sumps: all(sumps), warnings: all(warnings) };
}

/** All built-in schedules on record, a sump "s1" with joint "j1" on probes "p1" and "p2", ambient probe "air". */
export const usual: readonly Entry[] = [
  ...builtInSchedules.map((schedule) => scheduleEntry(schedule)),
  entry({ kind: 'site.described', name: 'North yard', timeZone: 'America/Chicago' }),
  entry({ kind: 'probe.registered', probe: 'p1', role: 'material', label: 'Flange' }),
  entry({ kind: 'probe.registered', probe: 'p2', role: 'material', uncertaintyCelsius: 0.2 }),
  entry({ kind: 'probe.registered', probe: 'air', role: 'ambient' }),
  entry({ kind: 'sump.added', sump: 's1', label: 'Sump 1', serial: 'A-17' }),
  entry({
    kind: 'joint.added',
    joint: 'j1',
    sump: 's1',
    label: 'Joint 1',
    schedule: 'polyester-laminate',
    probes: ['p1', 'p2'],
    ambient: 'air',
  }),
];
