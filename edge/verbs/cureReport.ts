import { CREDIT_CEILING_PPM_MS, type FoldState } from '../cure/fold.ts';
import { HOUR_MS, hoursOf, type Schedule, shownHours, stagesFor } from '../cure/schedule.ts';
import type { RejectedRow } from '../intake/csvRows.ts';

/** What `cure --json` writes. Hours to six decimals (3.6 ms), warm hours rounded down and counted to the fold's ceiling of 2000. */
export interface CureReport {
  readonly schedule: string;
  readonly rateTableSha256: string;
  /** The start, UTC; null without any usable reading. */
  readonly from: string | null;
  /** The last reading, UTC; null without a usable reading after the start. */
  readonly to: string | null;
  readonly warmHours: number;
  readonly clockHours: number;
  /** Proven, but below the floor. */
  readonly coldHours: number;
  /** Not proven by readings within the gap limit. */
  readonly gapHours: number;
  readonly stages: readonly { readonly stage: string; readonly requiredHours: number; readonly reachedAt: string | null }[];
  readonly rejected: readonly RejectedRow[];
}

/** What the readings were judged by, beside the schedule. */
export interface Terms {
  readonly schedule: Schedule;
  readonly rateTableSha256: string;
  readonly gapLimitMs: number;
  readonly guardMilliC: number;
  /** Of a moisture law, m%RH. */
  readonly guardMilliPercent: number;
  /** Null: the schedule's own. */
  readonly beadMillimetres: number | null;
}

/**
 * Puts a folded history in words for machines. `startMs` is null when there is no start to count from, `newestMs` is the newest
 * reading, null without any.
 */
export function reportOf(
  terms: Terms,
  state: FoldState,
  startMs: number | null,
  newestMs: number | null,
  rejected: readonly RejectedRow[],
): CureReport {
  const { schedule, rateTableSha256 } = terms;
  const untilMs = startMs !== null && newestMs !== null && newestMs >= startMs ? newestMs : null;
  return {
    schedule: schedule.name,
    rateTableSha256,
    from: isoOrNull(startMs),
    to: isoOrNull(untilMs),
    warmHours: shownHours(state.creditPpmMs),
    clockHours: startMs === null || untilMs === null ? 0 : toSixDecimals(untilMs - startMs),
    coldHours: toSixDecimals(state.coldMs),
    gapHours: toSixDecimals(state.unprovenMs),
    stages: stagesFor(schedule, terms.beadMillimetres).map(({ stage, requiredHours }) => ({
      stage,
      requiredHours,
      reachedAt: isoOrNull(state.reached.find((done) => done.stage === stage)?.reachedAtMs ?? null),
    })),
    rejected,
  };
}

function isoOrNull(ms: number | null): string | null {
  return ms === null ? null : new Date(ms).toISOString();
}

function toSixDecimals(ms: number): number {
  return Math.round((ms / HOUR_MS) * 1e6) / 1e6;
}

/** So many rejected rows are spelled out for people; `--json` has all. */
const REJECTED_SHOWN = 5;

/** The same in words for people, line by line. */
export function linesOf(
  { schedule, gapLimitMs, guardMilliC, guardMilliPercent }: Terms,
  report: CureReport,
  readings: number,
): string[] {
  const { warmHours, clockHours, coldHours, gapHours, rejected } = report;
  const reducedHours = Math.max(0, clockHours - warmHours - coldHours - gapHours);
  const { law } = schedule;
  const isMoist = law.kind === 'moisture';
  const gapMinutes = gapLimitMs / 60_000;
  const atLeast = warmHours >= hoursOf(CREDIT_CEILING_PPM_MS) ? 'at least ' : '';
  const lines: [string, string][] = [
    ['Schedule', `${schedule.name}, version ${schedule.version}: ${schedule.title}`],
    [
      'Reference',
      `${schedule.referenceCelsius} °C${isMoist ? ` and ${law.referenceHumidityPercent} %RH; colder and drier` : '; colder'} counts less, below ${schedule.floorCelsius} °C nothing`,
    ],
    ['Source', schedule.source],
    ['Rate table', `SHA-256 ${report.rateTableSha256}`],
    [
      'Readings',
      `${readings}, judged ${guardMilliC / 1000} °C colder${isMoist ? ` and ${guardMilliPercent / 1000} %RH drier` : ''} than read, no more than ${gapMinutes} min apart`,
    ],
    ['From', `${report.from ?? 'no start'} (UTC)`],
    ['To', `${report.to ?? 'no reading after the start'} (UTC)`],
    ['Warm hours', `${atLeast}${roundedDown(warmHours)} of ${clockHours.toFixed(3)} clock hours`],
    [
      'Uncredited',
      `${gapHours.toFixed(3)} h without proof, ${coldHours.toFixed(3)} h below the floor, ${reducedHours.toFixed(3)} h taken off for cold above it`,
    ],
    ...report.stages.map(({ stage, requiredHours, reachedAt }): [string, string] => [
      `Stage ${stage}`,
      `${requiredHours} h: ${reachedAt === null ? `not reached, ${roundedUp(requiredHours - warmHours)} warm hours short` : `reached ${reachedAt} (UTC)`}`,
    ]),
    ['Rejected', rejected.length === 0 ? 'no rows' : `${rejected.length} ${rejected.length === 1 ? 'row' : 'rows'}`],
    ...rejected.slice(0, REJECTED_SHOWN).map(({ line, reason }): [string, string] => ['', `line ${line}: ${reason}`]),
    ...(rejected.length > REJECTED_SHOWN ? [['', 'and so on; --json lists all'] as [string, string]] : []),
  ];
  const width = Math.max(...lines.map(([name]) => name.length)) + 2;
  return [
    ...lines.map(([name, text]) => name.padEnd(width) + text),
    '',
    'This advises only. Hours alone do not prove a cure in the cold: the maker’s sheet for the lot, the hardness',
    'and surface checks and a competent person decide.',
  ];
}

/** Three decimals, never more than was earned. */
function roundedDown(hours: number): string {
  return (Math.floor(hours * 1000) / 1000).toFixed(3);
}

/** Three decimals, never less than is missing. */
function roundedUp(hours: number): string {
  return (Math.ceil(hours * 1000) / 1000).toFixed(3);
}
