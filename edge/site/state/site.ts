import type { RateTable } from '../../cure/rateTable.ts';
import type { Schedule } from '../../cure/schedule.ts';
import type { By, Entry } from '../entries.ts';
import { ownerOf } from '../findings/id.ts';
import type { Mapping } from '../mapping.ts';
import { builtInSequences, type Sequence } from '../sequence.ts';
import type { Forecasts, GivenForecast } from './forecast.ts';
import type { Joint } from './joint.ts';
import type { Probe } from './probe.ts';
import type { Sump } from './sump.ts';
import type { Warning } from './warning.ts';

/** A schedule as it was put on record, with the tables that its joints are folded with. */
export interface RecordedSchedule {
  readonly definition: Schedule;
  readonly table: RateTable;
  readonly rateTableSha256: string;
  /** For the stages that count from the mix; null where it has none. */
  readonly mixTable: RateTable | null;
}

/** Who took an entry back, when and why. */
export interface Withdrawal {
  readonly by: By;
  readonly atMs: number;
  readonly reason: string;
}

/** Who said something, and where in the ledger it stands. */
export interface Told {
  readonly seq: number;
  /** When it is said to have happened, UTC ms. */
  readonly atMs: number;
  /** When the ledger took it. */
  readonly recordedMs: number;
  readonly by: By;
}

/** Whatever entries speak about after it came to be. All else about it follows from those that were not taken back. */
export interface Subject<E extends Entry> {
  /** By place in the ledger. */
  readonly said: Map<number, E>;
  readonly withdrawals: Map<number, Withdrawal>;
}

/** A step of the wall clock; see the entry `clock.stepped`. */
export interface ClockStep {
  readonly boot: number;
  readonly monoMs: number;
  readonly fromMs: number;
  readonly toMs: number;
}

export interface Rain extends Told {
  /** Null: it has not ended. */
  readonly untilMs: number | null;
  /** Null: on the whole site. */
  readonly sump: string | null;
}

export type Lot = Pick<Extract<Entry, { kind: 'lot.added' }>, 'lot' | 'material' | 'label' | 'sheet'> & { readonly seq: number };

export interface Decision extends Told {
  readonly finding: string;
  readonly decision: 'accept' | 'redo' | 'proof';
  readonly reason: string;
}

type AboutSite = Extract<Entry, { kind: 'rain.noted' | 'rain.ended' | 'finding.decided' | 'note.added' }>;

/** What the ledger's entries add up to: everything people have said about a site. Readings are folded elsewhere. */
export interface SiteState extends Subject<AboutSite> {
  name: string | null;
  timeZone: string;
  /** Newest version of each schedule on record, by name. */
  schedules: Map<string, RecordedSchedule>;
  /** Newest version of each sequence, by name: those on record, and those built in. */
  sequences: Map<string, Sequence>;
  /** Names of those on record. */
  recordedSequences: Set<string>;
  lots: Map<string, Lot>;
  probes: Map<string, Probe>;
  sumps: Map<string, Sump>;
  joints: Map<string, Joint>;
  clockSteps: ClockStep[];
  rains: Rain[];
  /** Not taken back, oldest first, by finding. */
  decisions: Map<string, Decision[]>;
  /** The newest decision by joint that it has to be done again. */
  redone: Map<string, Decision>;
  /** Entries that added a sump, a joint or a lot. */
  readonly added: Subject<Entry>;
  /** Air to come, newest last: the newest `FORECASTS_MOST`, without those that were taken back. */
  forecasts: GivenForecast[];
  readonly given: Forecasts;
  /** Raised and not ended. */
  warnings: Map<string, Warning>;
  /** How other devices' topics are read: one topic may serve several probes. */
  mappings: Map<string, Mapping[]>;
  /** Works out anew what the entry at this place speaks about. */
  readonly rederive: Map<number, { readonly subject: Subject<Entry>; readonly derive: () => void }>;
}

export function emptySite(): SiteState {
  return {
    said: new Map(),
    withdrawals: new Map(),
    name: null,
    timeZone: 'UTC',
    schedules: new Map(),
    sequences: new Map(builtInSequences.map((sequence) => [sequence.name, sequence])),
    recordedSequences: new Set(),
    lots: new Map(),
    probes: new Map(),
    sumps: new Map(),
    joints: new Map(),
    clockSteps: [],
    rains: [],
    decisions: new Map(),
    redone: new Map(),
    added: { said: new Map(), withdrawals: new Map() },
    forecasts: [],
    given: { said: new Map(), withdrawals: new Map() },
    warnings: new Map(),
    mappings: new Map(),
    rederive: new Map(),
  };
}

/** The entries of a subject that count, each with its place and times, in the order they were made. */
export function* standing<E extends Entry>({ said, withdrawals }: Subject<E>): Generator<Told & { readonly entry: E }> {
  for (const [seq, entry] of said) if (!withdrawals.has(seq)) yield { entry, ...toldOf(seq, entry) };
}

export function toldOf(seq: number, entry: Entry): Told {
  const recordedMs = Date.parse(entry.recordedAt);
  const at = 'at' in entry ? entry.at : undefined;
  return { seq, atMs: at === undefined ? recordedMs : Date.parse(at), recordedMs, by: entry.by };
}

/** Rain and decisions, from what was said about the site as a whole. */
export function deriveSite(site: SiteState): void {
  site.rains = [];
  site.decisions = new Map();
  site.redone = new Map();
  for (const { entry, ...told } of standing(site)) {
    switch (entry.kind) {
      case 'rain.noted': {
        const untilMs = entry.until === undefined ? null : Date.parse(entry.until);
        site.rains.push({ ...told, untilMs, sump: entry.sump ?? null });
        break;
      }
      case 'rain.ended':
        site.rains = site.rains.map((rain) =>
          rain.untilMs === null && rain.sump === (entry.sump ?? null) && rain.atMs <= told.atMs
            ? { ...rain, untilMs: told.atMs }
            : rain,
        );
        break;
      case 'finding.decided': {
        const decision = { ...told, finding: entry.finding, decision: entry.decision, reason: entry.reason };
        const earlier = site.decisions.get(entry.finding);
        if (earlier === undefined) site.decisions.set(entry.finding, [decision]);
        else earlier.push(decision);
        // It stands whatever becomes of the finding.
        if (entry.decision === 'redo') site.redone.set(ownerOf(entry.finding), decision);
        break;
      }
      case 'note.added':
        break;
    }
  }
}
