import type { OutlookInput } from '../../../edge/cure/outlook/input.ts';
import type { Band } from '../../../edge/cure/outlook/project.ts';
import type { BandDrawing, BandLine } from '../../chart/bandConfig.ts';
import { expectedMoment, limit, temperature } from '../../look/format.ts';
import { planText } from '../../text/planText.ts';
import { guardOf } from './lift.ts';

const words = planText.chart;
const HOUR_MS = 3_600_000;
const AFTER_MS = 4 * HOUR_MS;
const LEAST_MS = 12 * HOUR_MS;
const MOST_MS = 5 * 24 * HOUR_MS;

/** How far the drawing reaches: beyond what is booked and beyond when the hours are there, within five days. */
export function drawnUntil(nowMs: number, dueMs: number, latest: string | null): number {
  const endMs = Math.max(dueMs, latest === null ? dueMs : Date.parse(latest)) + AFTER_MS;
  return Math.min(nowMs + MOST_MS, Math.max(nowMs + LEAST_MS, endMs));
}

interface Parts {
  readonly input: OutlookInput;
  readonly timeZone: string;
  readonly dueMs: number;
  readonly band: Band;
  /** Without what is tried out; null: nothing is. */
  readonly before: Band | null;
}

export function bandDrawing({ input, timeZone, dueMs, band, before }: Parts): BandDrawing {
  const { table } = input;
  const guard = guardOf(input);
  const at = (values: Band['milliC'], index: 0 | 1 | 2) => values.map((value) => value[index] / 1000);
  const line = (label: string, as: BandLine['as'], { atMs, milliC }: Band): BandLine => ({
    label,
    as,
    points: atMs.map((ms, index) => [ms, (milliC[index]?.[1] ?? 0) / 1000] as const),
  });
  const fromMs = band.atMs[0] ?? input.startMs;
  const toMs = band.atMs.at(-1) ?? fromMs;
  const full = (table.topMilliC + guard) / 1000;
  const floor = (table.floorMilliC + guard) / 1000;
  return {
    fromMs,
    toMs,
    timeZone,
    lines: [...(before === null ? [] : [line(words.before, 'before', before)]), line(words.likely, 'likely', band)],
    band: { label: words.band, atMs: band.atMs, low: at(band.milliC, 0), high: at(band.milliC, 2) },
    levels: [
      // With a moisture law no temperature alone earns in full.
      ...(table.referenceHumidityMilliPercent === undefined
        ? [{ celsius: full, label: words.full(limit(full)), isCold: false }]
        : []),
      { celsius: floor, label: words.floor(limit(floor)), isCold: true },
    ],
    marks: dueMs >= fromMs && dueMs <= toMs ? [{ atMs: dueMs, label: words.due }] : [],
  };
}

/** On whose doing it rests: a heater that runs, or a joint that is kept warm. */
export type RestsOn = 'heated' | 'held' | null;

/** The same in sentences. */
export function bandSummary(joint: string, input: OutlookInput, { atMs, milliC }: Band, restsOn: RestsOn = null): string[] {
  const likely = milliC.map((each) => each[1]);
  const coldest = likely.indexOf(Math.min(...likely));
  const lastMs = atMs.at(-1);
  const [coldestMs, coldestBand] = [atMs[coldest], milliC[coldest]];
  if (lastMs === undefined || coldestMs === undefined || coldestBand === undefined) return [];
  const told = (ms: number) => expectedMoment(ms, input.nowMs);
  const floor = input.table.floorMilliC + guardOf(input);
  const belowMs = atMs[likely.findIndex((value) => value < floor)];
  const shown = (value: number) => temperature(value / 1000);
  // What rests on somebody's doing says so.
  const ended = (sentence: string) => words.end(restsOn === null ? sentence : words[restsOn](sentence));
  const [low, high] = [shown(Math.min(...likely)), shown(Math.max(...likely))];
  const [coldestLikely, least] = [shown(coldestBand[1]), shown(coldestBand[0])];
  return [
    ended(low === high ? words.summarySteady(joint, low, told(lastMs)) : words.summary(joint, low, high, told(lastMs))),
    ...(low === high && coldestLikely === least
      ? []
      : [
          ended(
            coldestLikely === least
              ? words.coldestSteady(coldestLikely, told(coldestMs))
              : words.coldest(coldestLikely, told(coldestMs), least),
          ),
        ]),
    ...(belowMs === undefined ? [] : [words.belowFloor(told(belowMs))]),
  ];
}
