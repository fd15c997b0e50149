import { compileRateTable } from '../cure/rateTable.ts';
import type { Schedule } from '../cure/schedule.ts';
import { CodedError } from '../errors.ts';
import { rateTableSha256 } from '../evidence/canonical.ts';
import type { Readings } from '../ledger/readings.ts';
import type { Kept, Statement, SystemStatement } from '../site/entries.ts';
import { missingAt, needInWords } from '../site/refusals/work.ts';
import { DEFAULT_LEVEL_UNCERTAINTY_MM } from '../site/said/instruments.ts';
import { msOf } from '../site/said/words.ts';
import type { SiteState } from '../site/state/site.ts';
import type { SiteViews } from './siteViews.ts';
import type { Tally } from './tally.ts';
import { type Counts, LEVEL } from './values.ts';

/** A level probe may be silent so long during the hold, at its beginning and end too. Our own choice. */
const LEVEL_GAP_LIMIT_MS = 15 * 60_000;

interface Witness {
  readonly state: SiteState;
  readonly views: SiteViews;
  readonly tally: Tally;
  readonly readings: Readings;
}

/** A schedule with the tables that its hours are counted by, to be put on record. */
export function recordedSchedule(definition: Schedule): SystemStatement {
  const table = compileRateTable(definition);
  const recorded = { kind: 'schedule.recorded', definition, table, rateTableSha256: rateTableSha256(table) } as const;
  if (definition.fromMix === undefined) return recorded;
  const mixTable = compileRateTable({ ...definition, referenceCelsius: definition.fromMix.referenceCelsius });
  return { ...recorded, mixTable, mixTableSha256: rateTableSha256(mixTable) };
}

/**
 * A statement with what the program sees at this moment, which is written down with it.
 * @throws CodedError `entry-refused` for a water test whose level probe said too little.
 */
export function witnessed(statement: Statement, { state, views, tally, readings }: Witness): Kept {
  switch (statement.kind) {
    case 'joint.relaid': {
      const lost = (tally.fold(statement.joint)?.state.reached ?? []).map(({ stage }) => stage);
      return lost.length === 0 ? statement : { ...statement, lost };
    }
    case 'activity.started': {
      const activity = views.sump(statement.sump).activities.find((one) => one.activity === statement.activity);
      const missing = activity === undefined ? [] : missingAt(activity, msOf(statement.at));
      if (missing.length === 0) return statement;
      return {
        ...statement,
        early: missing.map((need) => ({ need: needInWords(need).slice(0, 200), missingHours: need.missingHours })),
      };
    }
    case 'hydrotest.recorded': {
      const { probe, startedAt, endedAt } = statement;
      if (probe === undefined) return statement;
      return {
        ...statement,
        measured: {
          ...levelsOf(readings, probe, msOf(startedAt), msOf(endedAt), tally.counts),
          uncertaintyMicrometres: Math.round(
            (state.probes.get(probe)?.levelUncertaintyMm ?? DEFAULT_LEVEL_UNCERTAINTY_MM) * 1000,
          ),
        },
      };
    }
    default:
      return statement;
  }
}

function levelsOf(readings: Readings, probe: string, fromMs: number, untilMs: number, counts: Counts) {
  const { atMs, value } = readings.range(probe, LEVEL, fromMs, untilMs + 1, counts);
  const [first] = value;
  const last = value.at(-1);
  if (first === undefined || last === undefined || value.length < 2) {
    const message = `probe "${probe}" sent ${value.length} levels during the hold; at least 2 are needed, or levels read by hand`;
    throw new CodedError('entry-refused', message, [{ path: 'probe', message }]);
  }
  let longestGapMs = Math.max((atMs[0] as number) - fromMs, untilMs - (atMs.at(-1) as number));
  for (let row = 1; row < atMs.length; row++)
    longestGapMs = Math.max(longestGapMs, (atMs[row] as number) - (atMs[row - 1] as number));
  if (longestGapMs > LEVEL_GAP_LIMIT_MS) {
    const message = `probe "${probe}" was silent for ${Math.ceil(longestGapMs / 60_000)} min of the hold, which proves nothing about them; hold again, or give levels read by hand alone`;
    throw new CodedError('entry-refused', message, [{ path: 'probe', message }]);
  }
  return {
    startMicrometres: first,
    endMicrometres: last,
    leastMicrometres: value.reduce((least, one) => Math.min(least, one), first),
    greatestMicrometres: value.reduce((most, one) => Math.max(most, one), first),
    readings: value.length,
    longestGapMs,
  };
}
