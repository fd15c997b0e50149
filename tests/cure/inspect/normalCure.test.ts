import { describe, expect, test } from 'vitest';
import { foldAll } from '../../../edge/cure/fold.ts';
import type { Episode } from '../../../edge/cure/inspect/episode.ts';
import { type InspectedPiece, inspect } from '../../../edge/cure/inspect/inspect.ts';
import { compileRateTable } from '../../../edge/cure/rateTable.ts';
import {
  GAP_LIMIT_MS,
  HOUR_MS,
  MINUTE_MS,
  noise,
  OPEN_MS,
  type Readings,
  type Sent,
  START_MS,
  seriesOf,
  specOf,
} from './joints.ts';

const HOURS = 40;
const TAU_MINUTES = 150;
const table = compileRateTable({
  law: { kind: 'arrhenius', activationKilojoulesPerMol: 60 },
  referenceCelsius: 10,
  floorCelsius: 0,
});

interface Weather {
  readonly seed: number;
  readonly startHour: number;
  readonly meanCelsius: number;
  readonly swingCelsius: number;
}

/** What a sensor of 0.0625 °C shows of a temperature, with ±0.1 °C of noise. */
function shownMilliC(celsius: number, random: () => number): number {
  return Math.round(Math.round((celsius + 0.1 * random()) / 0.0625) * 62.5);
}

/**
 * A cure in cold weather, one reading a minute: air on a daily curve, warmest at 15 h; a joint that follows it with a time constant
 * of two and a half hours, plus an exotherm of 25 °C, at most 0.8 °C a minute; a second probe where the laminate is thinner.
 */
function coldCure({ seed, startHour, meanCelsius, swingCelsius }: Weather): Sent[] {
  const random = noise(seed);
  const air = (minutes: number) =>
    meanCelsius + swingCelsius * Math.sin((2 * Math.PI * (startHour - 9 + (minutes - 30) / 60)) / 24);
  const exotherm = (minutes: number) => {
    const share = Math.max(0, minutes - 40) / 45;
    return (share * Math.exp(1 - share)) ** 2;
  };
  let joint = air(-24 * 60);
  for (let minutes = -24 * 60; minutes < 0; minutes++) joint += (air(minutes) - joint) / TAU_MINUTES;
  const thick: [number, number][] = [];
  const thin: [number, number][] = [];
  const ambient: [number, number][] = [];
  const humidity: [number, number][] = [];
  for (let minutes = 0; minutes <= HOURS * 60; minutes++) {
    const atMs = OPEN_MS + minutes * MINUTE_MS;
    joint += (air(minutes) - joint) / TAU_MINUTES;
    thick.push([atMs + 3000, shownMilliC(joint + 25 * exotherm(minutes), random)]);
    thin.push([atMs + 17_000, shownMilliC(joint - 0.4 + 21 * exotherm(minutes), random)]);
    ambient.push([atMs + 31_000, shownMilliC(air(minutes), random)]);
    humidity.push([atMs + 31_000, Math.round(55_000 - (8000 * (air(minutes) - meanCelsius)) / swingCelsius + 500 * random())]);
  }
  return [
    { probe: 'm1', milliC: thick },
    { probe: 'm2', milliC: thin, batteryPercent: [[OPEN_MS, 82_000]] },
    { probe: 'a1', role: 'ambient', milliC: ambient, humidity },
  ];
}

function inspected(sent: readonly Sent[], guardMilliC = 500): Episode[] {
  const materials = sent.filter((own) => own.role !== 'ambient').map((own) => ({ own, series: seriesOf(own) }));
  const pieces: InspectedPiece[] = [];
  foldAll(
    {
      startMs: START_MS,
      gapLimitMs: GAP_LIMIT_MS,
      ambientStandIn: false,
      table,
      lanes: materials.map(({ series }) => ({
        probe: series.probe,
        role: 'material' as const,
        guardMilliC,
        fromMs: Number.NEGATIVE_INFINITY,
        untilMs: Number.POSITIVE_INFINITY,
      })),
      stages: [],
    },
    materials.map(({ series }) => series.temperature),
    (piece) => pieces.push(piece),
  );
  return inspect(
    specOf({
      nowMs: OPEN_MS + HOURS * HOUR_MS + MINUTE_MS,
      hasGelStage: true,
      gelMs: START_MS + 2 * HOUR_MS,
      floorMilliC: 0,
      proofBelow: null,
      hotAboveMilliC: 60_000,
      series: sent.map(seriesOf),
      pieces,
    }),
  );
}

const kinds = (episodes: readonly Episode[]) => episodes.map((episode) => episode.kind);
const weathers: Weather[] = [9, 11, 13, 15, 17, 20].flatMap((startHour, index) => [
  { seed: 100 + index, startHour, meanCelsius: 8, swingCelsius: 6 },
  { seed: 200 + index, startHour, meanCelsius: 6, swingCelsius: 3 },
  { seed: 300 + index, startHour, meanCelsius: 12, swingCelsius: 1 },
]);
const usual: Weather = { seed: 1, startHour: 13, meanCelsius: 8, swingCelsius: 6 };

/** `sent` with the temperatures of one probe changed. */
function changed(sent: readonly Sent[], probe: string, change: (milliC: Readings) => Readings): Sent[] {
  return sent.map((own) => (own.probe === probe ? { ...own, milliC: change(own.milliC ?? []) } : own));
}

describe('a normal cure in cold weather', () => {
  test.each(weathers)('from $startHour h at $meanCelsius ± $swingCelsius °C raises nothing', (weather) => {
    expect(inspected(coldCure(weather))).toEqual([]);
  });

  test('with a hole in the middle, one gap', () => {
    const from = OPEN_MS + 20 * HOUR_MS;
    const holed = coldCure(usual).map((own) => ({
      ...own,
      milliC: (own.milliC ?? []).filter(([ms]) => ms < from || ms >= from + HOUR_MS),
    }));
    expect(inspected(holed)).toMatchObject([{ kind: 'gap', numbers: { spanMs: HOUR_MS + MINUTE_MS - 14_000 } }]);
  });

  test('with one probe silent for hours, none: the other proves the time', () => {
    const from = OPEN_MS + 20 * HOUR_MS;
    const silent = changed(coldCure(usual), 'm1', (milliC) => milliC.filter(([ms]) => ms < from || ms > from + 5 * HOUR_MS));
    expect(inspected(silent)).toEqual([]);
  });

  test('with one fault, that fault and no other', () => {
    const sent = coldCure(usual);
    const ambient = sent[2]?.milliC ?? [];
    const fell = OPEN_MS + 14 * HOUR_MS;
    const fallen = changed(sent, 'm1', (milliC) =>
      milliC.map(([ms, value], index) => [ms, ms < fell ? value : (ambient[index]?.[1] ?? value)]),
    );
    expect(kinds(inspected(fallen)).filter((kind) => kind !== 'jump')).toEqual(['detached']);

    const stuck = changed(coldCure({ ...usual, swingCelsius: 3 }), 'm2', (milliC) => {
      const last = milliC.findLast(([ms]) => ms < fell)?.[1] ?? 0;
      return milliC.map(([ms, value]) => [ms, ms < fell ? value : last]);
    });
    expect(inspected(stuck)).toMatchObject([{ kind: 'frozen', probes: ['m2'], toMs: null }]);

    const restarted = changed(sent, 'a1', (milliC) => milliC.map(([ms, value], index) => [ms, index === 700 ? 85_000 : value]));
    expect(inspected(restarted)).toMatchObject([{ kind: 'sentinel', probes: ['a1'] }]);

    const moved = changed(sent, 'm1', (milliC) => milliC.map(([ms, value]) => [ms, ms < fell ? value : value + 6500]));
    expect(inspected(moved).map(({ kind, probes }) => [kind, ...probes])).toEqual([
      ['jump', 'm1'],
      ['apart', 'm1', 'm2'],
    ]);

    const damp = sent.map((own) => ({ ...own, humidity: (own.humidity ?? []).map(([ms]) => [ms, 93_000] as const) }));
    expect(kinds(inspected(damp))).toEqual(['dew-risk']);
  });
});
