import type { ChartConfiguration, ChartDataset, TooltipItem } from 'chart.js';
import { color } from 'chart.js/helpers';
import type { AnnotationOptions } from 'chartjs-plugin-annotation';
import { fullMoment, inUnit, signed, temperature } from '../look/format.ts';
import { hourCycle } from '../look/settings.ts';
import { text } from '../text/text.ts';
import type { ChartLook } from './look.ts';

export interface Dot {
  readonly x: number;
  readonly y: number | null;
}

/** How a line is drawn: what was measured, what is likely, the same without a change, what was typed and not saved. */
export type As = 'measured' | 'likely' | 'before' | 'typed';

export interface BandLine {
  readonly label: string;
  readonly as: As;
  /** UTC ms and °C; null breaks the line. */
  readonly points: readonly (readonly [atMs: number, celsius: number | null])[];
}

/** Levels are told apart by dash as well as by colour. */
export const levelDash = (isCold: boolean): readonly number[] => (isCold ? [10, 4, 2, 4] : [6, 4]);

/** What is drawn: lines, a band about the likely one, levels across and instants from top to bottom. °C, UTC ms. */
export interface BandDrawing {
  readonly fromMs: number;
  readonly toMs: number;
  readonly timeZone: string;
  readonly lines: readonly BandLine[];
  readonly band: {
    readonly label: string;
    readonly atMs: readonly number[];
    readonly low: readonly number[];
    readonly high: readonly number[];
  } | null;
  readonly levels: readonly { readonly celsius: number; readonly label: string; readonly isCold: boolean }[];
  readonly marks: readonly { readonly atMs: number; readonly label: string }[];
}

type LineConfig = ChartConfiguration<'line', Dot[]>;

const HOUR_MS = 3_600_000;
const BAND_ALPHA = 0.22;
export const LEVEL_WIDTH = 1.25;
export const MARK_WIDTH = 1.5;

/** Told apart by dash and width as well as by colour. */
export const STROKES: Readonly<Record<As, { readonly width: number; readonly dash: readonly number[] }>> = {
  measured: { width: 2.5, dash: [] },
  likely: { width: 3.5, dash: [] },
  before: { width: 2, dash: [7, 5] },
  typed: { width: 3, dash: [2, 5] },
};

export function colourOf(as: As, look: ChartLook): string {
  if (as === 'likely') return look.warm;
  if (as === 'typed') return look.series[1] ?? look.ink;
  return as === 'before' ? look.soft : look.ink;
}

export const bandFill = (look: ChartLook) => color(look.warm).alpha(BAND_ALPHA).rgbString();

/** The whole drawing. Temperatures turn to the chosen unit here and nowhere else. */
export function bandConfig(
  drawing: BandDrawing,
  look: ChartLook,
): { data: LineConfig['data']; options: NonNullable<LineConfig['options']> } {
  const font = { family: look.font, size: 13 };
  const { fromMs, toMs, timeZone, lines, levels } = drawing;
  const shown = levels.map(({ celsius }) => inUnit(celsius));
  return {
    data: { datasets: [...bandSets(drawing, look), ...lines.map((line) => lineSet(line, look))] },
    options: {
      animation: false,
      responsive: true,
      maintainAspectRatio: false,
      interaction: { mode: 'nearest', axis: 'x', intersect: false },
      scales: {
        x: {
          type: 'time',
          min: fromMs,
          max: toMs,
          adapters: { date: { zone: timeZone, locale: text.locale } },
          time: {
            ...(toMs - fromMs < 60 * HOUR_MS ? { unit: 'hour' as const } : {}),
            displayFormats:
              hourCycle.value === '12'
                ? { minute: 'h:mm a', hour: 'h a', day: 'ccc d' }
                : { minute: 'HH:mm', hour: 'HH:mm', day: 'ccc d' },
          },
          ticks: { color: look.soft, font, maxRotation: 0, autoSkipPadding: 12, major: { enabled: true } },
          grid: { display: false },
          border: { color: look.line },
        },
        y: {
          ...(shown.length === 0 ? {} : { suggestedMin: Math.min(...shown) - 3, suggestedMax: Math.max(...shown) + 3 }),
          ticks: { color: look.ink, font, maxTicksLimit: 7, callback: (value) => signed(value) },
          grid: { color: look.line, lineWidth: 0.5 },
          border: { display: false },
        },
      },
      plugins: {
        legend: { display: false },
        tooltip: {
          titleFont: font,
          bodyFont: font,
          filter: (item) => item.dataset.label !== '',
          callbacks: {
            title: (items: TooltipItem<'line'>[]) => fullMoment(items[0]?.parsed.x ?? fromMs),
            label: (item: TooltipItem<'line'>) => tipOf(item, lines),
          },
        },
        annotation: { clip: true, annotations: annotationsOf(drawing, look) },
      },
    },
  };
}

function tipOf(item: TooltipItem<'line'>, lines: readonly BandLine[]): string {
  const label = item.dataset.label ?? '';
  const celsius = lines.find((line) => line.label === label)?.points[item.dataIndex]?.[1];
  return celsius == null ? label : `${label}: ${temperature(celsius)}`;
}

/** Two lines without a name, the space between them filled. */
function bandSets({ band }: BandDrawing, look: ChartLook): ChartDataset<'line', Dot[]>[] {
  if (band === null) return [];
  const edge = (values: readonly number[]): ChartDataset<'line', Dot[]> => ({
    label: '',
    data: band.atMs.map((x, index) => ({ x, y: inUnit(values[index] as number) })),
    borderColor: look.warm,
    borderWidth: 1,
    borderDash: [1, 3],
    pointRadius: 0,
    order: 1,
  });
  return [edge(band.low), { ...edge(band.high), fill: '-1', backgroundColor: bandFill(look) }];
}

function lineSet({ label, as, points }: BandLine, look: ChartLook): ChartDataset<'line', Dot[]> {
  const colour = colourOf(as, look);
  const { width, dash } = STROKES[as];
  return {
    label,
    data: points.map(([x, celsius]) => ({ x, y: celsius === null ? null : inUnit(celsius) })),
    borderColor: colour,
    backgroundColor: colour,
    borderWidth: width,
    borderDash: [...dash],
    borderJoinStyle: 'round',
    pointRadius: 0,
    spanGaps: false,
    order: 0,
  };
}

/** Without words: on a phone they would lie over the curves. The key names them. */
function annotationsOf({ levels, marks }: BandDrawing, look: ChartLook): AnnotationOptions[] {
  return [
    ...levels.map(
      ({ celsius, isCold }): AnnotationOptions => ({
        type: 'line',
        scaleID: 'y',
        value: inUnit(celsius),
        borderColor: isCold ? look.cold : look.ink,
        borderWidth: LEVEL_WIDTH,
        borderDash: [...levelDash(isCold)],
      }),
    ),
    ...marks.map(
      ({ atMs }): AnnotationOptions => ({
        type: 'line',
        scaleID: 'x',
        value: atMs,
        borderColor: look.ink,
        borderWidth: MARK_WIDTH,
      }),
    ),
  ];
}
