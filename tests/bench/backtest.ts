// How far off the projected hour of the water test was, beside two plain guesses, over cold seasons that nothing was chosen by.

import { HOUR_MS } from './backtest/climate.ts';
import { atLead, COLD_CELSIUS, TESTED, tryOut } from './backtest/season.ts';
import { LEAD_HOURS, type Projected, type Trial } from './backtest/trial.ts';
import { median, print } from './table.ts';

const TRIALS = 900;
/** The seasons for choosing are tried with numbers below it. */
const FIRST_TRIAL = 10_000;

export interface Score {
  readonly lead: number;
  readonly count: number;
  /** Medians of the absolute error, hours; infinite where half of the answers named no time. */
  readonly ours: number;
  readonly first: number;
  readonly withoutForecast: number;
  readonly repeated: number;
  readonly held: number;
  /** Ours over that of the better rival. */
  readonly ratio: number;
  /** Share of the truths within the band of 90 %, with and without a forecast. */
  readonly covered: number;
  readonly coveredWithout: number;
}

export function scoreOf(lead: number, trials: readonly Trial[]): Score {
  const error = (said: (trial: Trial) => number) =>
    median(trials.map((trial) => Math.abs(said(trial) - trial.hydroMs) / HOUR_MS));
  const covered = (said: (trial: Trial) => Projected) =>
    trials.filter((trial) => said(trial).earliestMs <= trial.hydroMs && trial.hydroMs <= said(trial).latestMs).length /
    trials.length;
  const ours = error(({ withForecast }) => withForecast.likelyMs);
  const repeated = error(({ repeatedMs }) => repeatedMs);
  const held = error(({ heldMs }) => heldMs);
  return {
    lead,
    count: trials.length,
    ours,
    first: error(({ first }) => first.likelyMs),
    withoutForecast: error(({ withoutForecast }) => withoutForecast.likelyMs),
    repeated,
    held,
    ratio: ours / Math.min(repeated, held),
    covered: covered(({ withForecast }) => withForecast),
    coveredWithout: covered(({ withoutForecast }) => withoutForecast),
  };
}

export function backtest(): void {
  const tried = tryOut(
    TESTED,
    Array.from({ length: TRIALS }, (_, index) => FIRST_TRIAL + index),
  );
  const never = tried.filter(({ hydroMs }) => hydroMs === null).length;
  console.log(
    [
      `Daily highs and lows of a northern Pacific coast station (US Government data), hours between after the normals, with random`,
      `fronts and unrest over them; joints with sun and ground that the model does not know, two of the site laid up before, each by
its own draw; probes and forecasts with their errors.`,
      `Seasons ${TESTED.map(([from, to]) => `${from} to ${to}`).join(', ')}; seeds ${FIRST_TRIAL} to ${FIRST_TRIAL + TRIALS - 1}.`,
      `${tried.length} joints laid up, ${never} of them never ready within 8 days and left out; so is a lead that ends before the`,
      `joint is an hour old. Nothing was chosen by these seasons.`,
    ].join('\n'),
  );
  const scoresOf = (joints: typeof tried) => LEAD_HOURS.map((lead) => scoreOf(lead, atLead(joints, lead)));
  const scores = scoresOf(tried);
  table('All', scores);
  table(`Laid up after a day below ${COLD_CELSIUS} °C`, scoresOf(tried.filter(({ isCold }) => isCold)));
  console.log(`\n${chart(scores)}\n`);
  for (const { lead, ratio, covered } of scores) {
    print({
      what: `projection ${lead} h ahead: median error over the better rival's`,
      figure: ratio.toFixed(2),
      goal: { text: '≤ 0.5', met: ratio <= 0.5 },
    });
    print({
      what: `projection ${lead} h ahead: truths within the band of 90 %`,
      figure: `${(100 * covered).toFixed(0)} %`,
      goal: { text: '85–95 %', met: covered >= 0.85 && covered <= 0.95 },
    });
  }
}

function hours(value: number): string {
  return Number.isFinite(value) ? `${value.toFixed(2)} h` : 'no time named';
}

function table(title: string, scores: readonly Score[]): void {
  const line = (cells: readonly string[]) => `| ${cells.join(' | ')} |`;
  const head = [
    'lead',
    'joints',
    'projected',
    'first joint of a site',
    'without a forecast',
    'own last day again',
    'as warm as now',
    'ratio',
    'in the band',
  ];
  const rows = scores.map(({ lead, count, ours, first, withoutForecast, repeated, held, ratio, covered, coveredWithout }) => [
    `${lead} h`,
    String(count),
    hours(ours),
    hours(first),
    hours(withoutForecast),
    hours(repeated),
    hours(held),
    ratio.toFixed(2),
    `${(100 * covered).toFixed(0)} %, without ${(100 * coveredWithout).toFixed(0)} %`,
  ]);
  console.log(`\n${title}: median error of the projected hour\n`);
  console.log([line(head), line(head.map(() => '---')), ...rows.map(line)].join('\n'));
}

/** The same as a picture for the documents. */
function chart(scores: readonly Score[]): string {
  const series = (of: (score: Score) => number) => `  line [${scores.map((score) => of(score).toFixed(2)).join(', ')}]`;
  const drawn = [
    ['projected', (score: Score) => score.ours],
    ['first joint of a site', (score: Score) => score.first],
    ['without a forecast', (score: Score) => score.withoutForecast],
    ['own last day again', (score: Score) => score.repeated],
    ['as warm as now', (score: Score) => score.held],
  ] as const;
  const shown = drawn.filter(([, of]) => scores.every((score) => Number.isFinite(of(score))));
  const most = Math.max(...shown.flatMap(([, of]) => scores.map(of)));
  return [
    '```mermaid',
    'xychart-beta',
    `  title "Median error: ${shown.map(([name]) => name).join(', ')}"`,
    `  x-axis "hours before it was ready" [${scores.map(({ lead }) => lead).join(', ')}]`,
    `  y-axis "hours" 0 --> ${Math.ceil(most)}`,
    ...shown.map(([, of]) => series(of)),
    '```',
  ].join('\n');
}
