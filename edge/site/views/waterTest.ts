import { z } from 'zod';
import { verdictOf, type WaterTest, type WaterTestResult } from '../../cure/waterTest.ts';
import type { Sump, WaterTestOnRecord } from '../state/sump.ts';
import { iso } from './iso.ts';

const Judged = z.strictObject({
  verdict: z.enum(['pass', 'fail', 'invalid']),
  faults: z.array(z.enum(['filled-too-low', 'settled-too-short', 'too-short', 'resolution-too-coarse'])),
  changeMm: z.number(),
  /** Worst case of the difference of two readings, and its standard uncertainty, mm. */
  uncertaintyMm: z.strictObject({ worstCase: z.number(), standard: z.number() }),
  /** The uncertainty of the reading reaches across the limit. */
  nearLimit: z.boolean(),
  /** What cooling or warming of the water alone does to the level, mm; null where it is not known. */
  temperatureMm: z.number().nullable(),
  temperatureMatters: z.boolean(),
});

export const WaterTestView = z.strictObject({
  seq: z.int(),
  method: z.enum(['full-height', 'low-level']),
  filledAt: z.string(),
  startedAt: z.string(),
  endedAt: z.string(),
  by: z.string(),
  recordedAt: z.string(),
  /** The worse of both where it was read by hand and by probe. */
  verdict: z.enum(['pass', 'fail', 'invalid']),
  limitMm: z.number(),
  byHand: Judged.nullable(),
  byProbe: Judged.extend({
    probe: z.string(),
    readings: z.int(),
    /** The level left the limit in between, though not at the end. */
    excursion: z.boolean(),
    /** Longest time without a reading, minutes. */
    longestGapMinutes: z.number(),
  }).nullable(),
  /** It repeats the test before it, which was not passed. */
  retestOf: z.int().nullable(),
});
export type WaterTestView = z.infer<typeof WaterTestView>;

const MICROMETRES_PER_MM = 1000;
const VERDICTS = ['pass', 'fail', 'invalid'] as const;

/** All tests of a sump, oldest first. */
export function waterTestViews({ tests }: Pick<Sump, 'tests'>): WaterTestView[] {
  const views: WaterTestView[] = [];
  for (const test of tests) {
    const before = views.at(-1);
    views.push(viewOf(test, before !== undefined && before.verdict !== 'pass' ? before.seq : null));
  }
  return views;
}

function viewOf({ entry, seq, by, recordedMs }: WaterTestOnRecord, retestOf: number | null): WaterTestView {
  const { byHand, measured, probe } = entry;
  const hand = byHand === undefined ? null : judge(entry, byHand.start, byHand.end, byHand.resolution);
  const millimetres = (micrometres: number) => ({ value: micrometres / MICROMETRES_PER_MM, unit: 'mm' }) as const;
  const probed =
    measured === undefined
      ? null
      : judge(entry, millimetres(measured.startMicrometres), millimetres(measured.endMicrometres), {
          value: measured.uncertaintyMicrometres / MICROMETRES_PER_MM,
          unit: 'mm',
        });
  const verdicts = [hand, probed].flatMap((result) => (result === null ? [] : [VERDICTS.indexOf(result.verdict)]));
  const limitMm = (hand ?? probed)?.limitMm ?? 0;
  return {
    seq,
    method: entry.method,
    filledAt: entry.filledAt,
    startedAt: entry.startedAt,
    endedAt: entry.endedAt,
    by: by.name,
    recordedAt: iso(recordedMs),
    verdict: VERDICTS[Math.max(...verdicts)] ?? 'invalid',
    limitMm,
    byHand: hand && judgedView(hand),
    byProbe:
      probed === null || measured === undefined || probe === undefined
        ? null
        : {
            ...judgedView(probed),
            probe,
            readings: measured.readings,
            excursion:
              Math.max(
                measured.greatestMicrometres - measured.startMicrometres,
                measured.startMicrometres - measured.leastMicrometres,
              ) >=
              limitMm * MICROMETRES_PER_MM,
            longestGapMinutes: measured.longestGapMs / 60_000,
          },
    retestOf,
  };
}

function judge(
  entry: WaterTestOnRecord['entry'],
  startLevel: WaterTest['startLevel'],
  endLevel: WaterTest['endLevel'],
  resolution: WaterTest['resolution'],
): WaterTestResult {
  const { method, fillAboveHighest, waterDepth, waterCelsiusStart, waterCelsiusEnd } = entry;
  const minutes = (from: string, to: string) => (Date.parse(to) - Date.parse(from)) / 60_000;
  return verdictOf({
    method,
    fillAboveHighest,
    startLevel,
    endLevel,
    resolution,
    settleMinutes: minutes(entry.filledAt, entry.startedAt),
    durationMinutes: minutes(entry.startedAt, entry.endedAt),
    ...(waterDepth === undefined ? {} : { waterDepth }),
    ...(waterCelsiusStart === undefined ? {} : { waterCelsiusStart }),
    ...(waterCelsiusEnd === undefined ? {} : { waterCelsiusEnd }),
  });
}

function judgedView({
  verdict,
  faults,
  changeMm,
  uncertaintyMm,
  nearLimit,
  temperatureMm,
  temperatureMatters,
}: WaterTestResult): z.infer<typeof Judged> {
  return {
    verdict,
    faults: [...faults],
    changeMm,
    uncertaintyMm: { ...uncertaintyMm },
    nearLimit,
    temperatureMm,
    temperatureMatters,
  };
}
