import type { ChartConfiguration, ChartDataset, TooltipItem } from 'chart.js';
import type { AnnotationOptions } from 'chartjs-plugin-annotation';
import { AIR_DASH, type ChartLook, strokeOf } from '../../chart/look.ts';
import type { OpenedJoint, OpenedSeries } from '../../evidence/opened.ts';
import { momentIn } from '../../evidence/when.ts';
import { hoursDone, inUnit, limit, signed, temperature } from '../../look/format.ts';
import { hourCycle } from '../../look/settings.ts';
import { openedText } from '../../text/openedText.ts';
import { text } from '../../text/text.ts';

const words = openedText.chart;
const HOUR_MS = 3_600_000;

export interface Dot {
  readonly x: number;
  readonly y: number | null;
}

type LineConfig = ChartConfiguration<'line', Dot[]>;

/** How a probe's line is drawn: told apart by dash as well as by colour. */
export function strokeOfSeries(joint: OpenedJoint, index: number, look: ChartLook) {
  const before = joint.series.slice(0, index).filter(({ role }) => role === 'material').length;
  return joint.series[index]?.role === 'material' ? strokeOf(look, before) : { colour: look.air, dash: AIR_DASH };
}

export function seriesName({ source, label, role }: OpenedSeries): string {
  return words.series(label === source ? source : text.probeName(label, source), words.role[role]);
}

/** The drawing of a joint out of a bundle, on the clock of the bundle's site. */
export function recordConfig(
  joint: OpenedJoint,
  zone: string,
  look: ChartLook,
): { data: LineConfig['data']; options: NonNullable<LineConfig['options']> } {
  const font = { family: look.font, size: 13 };
  const { series, progress, record, floorCelsius } = joint;
  const [from, to] = spanOf(joint);
  const cycle = hourCycle.value === '12' ? { minute: 'h:mm a', hour: 'h a' } : { minute: 'HH:mm', hour: 'HH:mm' };
  return {
    data: { datasets: [...series.map((_, index) => lineOf(joint, index, look)), hoursLine(progress, look)] },
    options: {
      animation: false,
      responsive: true,
      maintainAspectRatio: false,
      interaction: { mode: 'nearest', axis: 'x', intersect: false },
      scales: {
        x: {
          type: 'time',
          min: from,
          max: to,
          adapters: { date: { zone, locale: text.locale } },
          time: {
            ...(to - from < 60 * HOUR_MS ? { unit: 'hour' as const } : {}),
            displayFormats: { ...cycle, day: words.day, month: words.day },
          },
          ticks: { color: look.soft, font, maxRotation: 0, autoSkipPadding: 12 },
          grid: { display: false },
          border: { color: look.line },
        },
        y: {
          position: 'left',
          suggestedMin: inUnit(floorCelsius) - 3,
          suggestedMax: inUnit(record.schedule.referenceCelsius) + 3,
          ticks: { color: look.ink, font, maxTicksLimit: 7, callback: (value) => signed(value) },
          grid: { color: look.line, lineWidth: 0.5 },
          border: { display: false },
        },
        y1: {
          position: 'right',
          min: 0,
          ticks: { color: look.ink, font, maxTicksLimit: 7 },
          grid: { display: false },
          border: { display: false },
        },
      },
      plugins: {
        tooltip: {
          titleFont: font,
          bodyFont: font,
          callbacks: {
            title: (items: TooltipItem<'line'>[]) => momentIn(items[0]?.parsed.x ?? from, zone),
            label: (item: TooltipItem<'line'>) => tipOf(item, joint),
          },
        },
        annotation: { clip: true, annotations: annotationsOf(joint, look) },
      },
    },
  };
}

function spanOf({ series, progress }: OpenedJoint): [fromMs: number, toMs: number] {
  const ends = [...series.map(({ points }) => points), progress].flatMap((points) => [points[0], points.at(-1)]);
  const all = ends.flatMap((point) => (point === undefined ? [] : [point[0]]));
  return all.length === 0 ? [0, HOUR_MS] : [Math.min(...all), Math.max(...all)];
}

function lineOf(joint: OpenedJoint, index: number, look: ChartLook): ChartDataset<'line', Dot[]> {
  const { colour, dash } = strokeOfSeries(joint, index, look);
  const { points } = joint.series[index] as OpenedSeries;
  const hasValue = (at: number) => (points[at]?.[1] ?? null) !== null;
  return {
    yAxisID: 'y',
    data: points.map(([x, celsius]) => ({ x, y: celsius === null ? null : inUnit(celsius) })),
    borderColor: colour,
    backgroundColor: colour,
    borderDash: [...dash],
    borderWidth: 2,
    borderJoinStyle: 'round',
    // A reading alone between two gaps has no line to be seen by.
    pointRadius: points.map((_, at) => (hasValue(at) && !hasValue(at - 1) && !hasValue(at + 1) ? 3 : 0)),
    spanGaps: false,
  };
}

function hoursLine(progress: OpenedJoint['progress'], look: ChartLook): ChartDataset<'line', Dot[]> {
  return {
    yAxisID: 'y1',
    data: progress.map(([x, y]) => ({ x, y })),
    borderColor: look.warm,
    backgroundColor: look.warm,
    borderWidth: 3.5,
    pointRadius: 0,
  };
}

function tipOf(item: TooltipItem<'line'>, { series }: OpenedJoint): string {
  const own = series[item.datasetIndex];
  if (own === undefined) return `${words.warm}: ${openedText.h(hoursDone(item.parsed.y ?? 0))}`;
  const celsius = own.points[item.dataIndex]?.[1];
  return `${seriesName(own)}: ${celsius == null ? words.gap : temperature(celsius)}`;
}

function annotationsOf({ record, floorCelsius, uncredited }: OpenedJoint, look: ChartLook): AnnotationOptions[] {
  // Each letter with a rim of the ground's colour, so that words stay readable and hide no curve.
  const label = {
    display: true,
    drawTime: 'afterDraw',
    backgroundColor: 'transparent',
    textStrokeColor: look.sheet,
    textStrokeWidth: 4,
    padding: { x: 4, y: 1 },
    font: { family: look.font, size: 12, weight: 'normal' },
  } as const;
  const level = (celsius: number, content: string, colour: string): AnnotationOptions => ({
    type: 'line',
    scaleID: 'y',
    value: inUnit(celsius),
    borderColor: colour,
    borderWidth: 1.25,
    borderDash: [6, 4],
    label: { ...label, content, color: colour, position: 'start', yAdjust: -10 },
  });
  return [
    ...uncredited.map(
      ({ fromMs, toMs, reason }): AnnotationOptions => ({
        type: 'box',
        xMin: fromMs,
        xMax: toMs,
        // The plugin hands its colour to the canvas as it is, which takes a pattern; only its types say text.
        backgroundColor: (reason === 'cold' ? look.coldFill : look.unprovenFill) as string,
        borderWidth: 0,
        drawTime: 'beforeDatasetsDraw',
      }),
    ),
    level(record.schedule.referenceCelsius, words.reference(limit(record.schedule.referenceCelsius)), look.ink),
    level(floorCelsius, words.floor(limit(floorCelsius)), look.cold),
    ...record.stages.flatMap(({ stage, reachedAtMs }): AnnotationOptions[] =>
      reachedAtMs === null
        ? []
        : [
            {
              type: 'line',
              scaleID: 'x',
              value: reachedAtMs,
              borderColor: look.ink,
              borderWidth: 1.5,
              label: { ...label, content: text.stage[stage] ?? stage, color: look.ink, position: 'end' },
            },
          ],
    ),
  ];
}
