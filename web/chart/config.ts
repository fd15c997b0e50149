import type { ChartConfiguration, ChartDataset, TooltipItem } from 'chart.js';
import type { AnnotationOptions } from 'chartjs-plugin-annotation';
import type { ProjectionView } from '../../edge/site/views/outlook.ts';
import type { History, HistorySeries, Point } from '../api/shapes.ts';
import { probeName } from '../live/store.ts';
import { fullMoment, hoursDone, hoursPlain, inUnit, limit, signed, temperature } from '../look/format.ts';
import { hourCycle } from '../look/settings.ts';
import { jointText } from '../text/jointText.ts';
import { text } from '../text/text.ts';
import { aheadSets, fromNow, nowLine } from './ahead.ts';
import { heatingTitle } from './eventTitles.ts';
import { AIR_DASH, type ChartLook, strokeOf } from './look.ts';

export interface Dot {
  readonly x: number;
  readonly y: number | null;
}

const HOUR_MS = 3_600_000;

type LineConfig = ChartConfiguration<'line', Dot[]>;

/**
 * The whole drawing, from a history and what lies ahead, if that is wanted. `guardCelsius`: what a probe has to show above a limit to
 * meet it. Temperatures turn to the chosen unit here and in what lies ahead, and nowhere else.
 */
export function chartConfig(
  history: History,
  look: ChartLook,
  guardCelsius: number,
  projected: ProjectionView['band'] = [],
): { data: LineConfig['data']; options: NonNullable<LineConfig['options']> } {
  const fromMs = Date.parse(history.from);
  const band = fromNow(projected, history);
  const nowMs = Date.parse(history.to);
  const toMs = Math.max(nowMs, band.at(-1)?.at ?? nowMs);
  const highest = Math.max(
    0,
    ...history.schedule.stages.map((stage) => stage.requiredHours),
    ...history.progress.map(([, hours]) => hours ?? 0),
  );
  const font = { family: look.font, size: 13 };
  const floorCelsius = history.schedule.floorCelsius + guardCelsius;
  const fullCelsius = history.schedule.referenceCelsius + guardCelsius;
  return {
    data: { datasets: [warmSet(history, look), ...temperatureSets(history, look), ...aheadSets(band, look)] },
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
          adapters: { date: { zone: history.timeZone, locale: text.locale } },
          time: {
            ...unitOf(toMs - fromMs),
            displayFormats:
              hourCycle.value === '12'
                ? { minute: 'h:mm a', hour: 'h a', day: jointText.chartDay, month: jointText.chartDay }
                : { minute: 'HH:mm', hour: 'HH:mm', day: jointText.chartDay, month: jointText.chartDay },
          },
          ticks: { color: look.soft, font, maxRotation: 0, autoSkipPadding: 12, major: { enabled: true } },
          grid: { display: false },
          border: { color: look.line },
        },
        y: {
          position: 'left',
          suggestedMin: inUnit(floorCelsius) - 3,
          suggestedMax: inUnit(fullCelsius) + 3,
          ticks: { color: look.ink, font, maxTicksLimit: 7, callback: (value) => signed(value) },
          grid: { color: look.line, lineWidth: 0.5 },
          border: { display: false },
        },
        y1: {
          position: 'right',
          min: 0,
          // What lies beyond the last stage is of no use to anybody, and would flatten what comes before it.
          ...(band.length > 0 ? { max: Math.ceil(highest * 1.08) } : { suggestedMax: highest * 1.08 }),
          ticks: { color: look.ink, font, maxTicksLimit: 7, includeBounds: false },
          grid: { display: false },
          border: { display: false },
        },
      },
      plugins: {
        tooltip: {
          titleFont: font,
          bodyFont: font,
          // The edges of a band are told with its likely course.
          filter: ({ dataset }: TooltipItem<'line'>) => dataset.label !== '',
          callbacks: {
            title: (items: TooltipItem<'line'>[]) => fullMoment(items[0]?.parsed.x ?? fromMs),
            label: (item: TooltipItem<'line'>) => tipOf(item, history, band),
          },
        },
        annotation: {
          clip: true,
          annotations: [
            ...annotationsOf(history, look, { fromMs, toMs, fullCelsius, floorCelsius }),
            ...(band.length > 0 ? [nowLine(nowMs, look)] : []),
          ],
        },
      },
    },
  };
}

/** Hours of the day as far as they fit: left alone, a narrow drawing of two days would name nothing but the days. */
function unitOf(spanMs: number): { unit?: 'hour' } {
  return spanMs > 3 * HOUR_MS && spanMs < 60 * HOUR_MS ? { unit: 'hour' } : {};
}

function tipOf(item: TooltipItem<'line'>, history: History, band: ProjectionView['band']): string {
  if (item.datasetIndex > history.series.length) {
    const hour = band[item.dataIndex];
    const [low = '', likely = '', high = ''] =
      item.dataset.yAxisID === 'y1' ? (hour?.warmHours.map(hoursDone) ?? []) : (hour?.celsius.map(temperature) ?? []);
    return `${item.dataset.label ?? ''}: ${jointText.ahead.likelyOf(likely, low, high)}`;
  }
  if (item.datasetIndex === 0) return `${jointText.warmLine}: ${jointText.hours(hoursDone(item.parsed.y ?? 0))}`;
  const celsius = history.series[item.datasetIndex - 1]?.points[item.dataIndex]?.[1];
  return `${item.dataset.label ?? ''}: ${celsius == null ? jointText.tableGap : temperature(celsius)}`;
}

function warmSet(history: History, look: ChartLook): ChartDataset<'line', Dot[]> {
  return {
    label: jointText.warmLine,
    yAxisID: 'y1',
    data: history.progress.map(([x, y]) => ({ x, y })),
    borderColor: look.warm,
    backgroundColor: look.warm,
    borderWidth: 3.5,
    pointRadius: 0,
    spanGaps: false,
  };
}

function temperatureSets(history: History, look: ChartLook): ChartDataset<'line', Dot[]>[] {
  let material = 0;
  return history.series.map((series) => {
    const { colour, dash } = series.role === 'material' ? strokeOf(look, material++) : { colour: look.air, dash: AIR_DASH };
    return {
      label: nameOf(series),
      yAxisID: 'y',
      data: series.points.map(([x, celsius]) => ({ x, y: celsius === null ? null : inUnit(celsius) })),
      borderColor: colour,
      backgroundColor: colour,
      borderDash: [...dash],
      borderCapStyle: series.role === 'ambient' ? 'round' : 'butt',
      borderWidth: 2,
      borderJoinStyle: 'round',
      // A reading alone between two gaps has no line to be seen by.
      pointRadius: series.points.map((_, index) => (isAlone(series.points, index) ? 3 : 0)),
      spanGaps: false,
    } satisfies ChartDataset<'line', Dot[]>;
  });
}

/** How a series is called in the key, the table and the tooltip. */
export function nameOf(series: HistorySeries): string {
  return jointText.series(probeName(series.probe), series.role === 'material' ? jointText.inMaterial : jointText.inAir);
}

function isAlone(points: readonly Point[], index: number): boolean {
  const hasValue = (at: number) => (points[at]?.[1] ?? null) !== null;
  return hasValue(index) && !hasValue(index - 1) && !hasValue(index + 1);
}

interface Frame {
  readonly fromMs: number;
  readonly toMs: number;
  /** As a probe has to show them. */
  readonly fullCelsius: number;
  readonly floorCelsius: number;
}

function annotationsOf(history: History, look: ChartLook, frame: Frame): AnnotationOptions[] {
  const { fromMs, toMs, fullCelsius, floorCelsius } = frame;
  const font = { family: look.font, size: 12, weight: 'normal' } as const;
  // Drawn last, each letter with a rim of the ground's colour, so that words stay readable and hide no curve.
  const label = {
    display: true,
    drawTime: 'afterDraw',
    backgroundColor: 'transparent',
    textStrokeColor: look.sheet,
    textStrokeWidth: 4,
    padding: { x: 4, y: 1 },
  } as const;
  const level = (celsius: number, content: string, colour: string): AnnotationOptions => ({
    type: 'line',
    scaleID: 'y',
    value: inUnit(celsius),
    borderColor: colour,
    borderWidth: 1.25,
    borderDash: [6, 4],
    label: { ...label, font, content, color: colour, position: 'start', yAdjust: -10 },
  });
  return [
    ...history.uncredited.map(
      ({ from, to, reason }): AnnotationOptions => ({
        type: 'box',
        xMin: Math.max(from, fromMs),
        xMax: Math.min(to, toMs),
        // The plugin hands its colour to the canvas as it is, which takes a pattern; only its types say text.
        backgroundColor: (reason === 'cold' ? look.coldFill : look.unprovenFill) as string,
        borderWidth: 0,
        drawTime: 'beforeDatasetsDraw',
      }),
    ),
    level(fullCelsius, jointText.referenceLine(limit(fullCelsius)), look.ink),
    level(floorCelsius, jointText.floorLine(limit(floorCelsius)), look.cold),
    ...thresholdsOf(history.schedule.stages).map(
      ({ hours, content }): AnnotationOptions => ({
        type: 'line',
        scaleID: 'y1',
        value: hours,
        borderColor: look.warm,
        borderWidth: 1.25,
        label: { ...label, font, content, color: look.ink, position: 'end', yAdjust: 10 },
      }),
    ),
    // What was taken back is not in force; the others keep the numbers that they have in the list.
    ...history.events.flatMap(({ at, kind, text: said, withdrawn }, index): AnnotationOptions[] =>
      withdrawn !== null || at < fromMs || at > toMs
        ? []
        : [
            {
              type: 'line',
              scaleID: 'x',
              value: at,
              borderColor: look.soft,
              borderWidth: 1,
              label: {
                ...label,
                font: { ...font, weight: 'bold' },
                content: kind === 'heating' ? `${index + 1} ${heatingTitle(said)}` : String(index + 1),
                color: look.ink,
                position: 'start',
                // Words take more room than the numbers beside them.
                ...(kind === 'heating' ? { yAdjust: 18 } : {}),
              },
            },
          ],
    ),
  ];
}

/** One line for each number of hours: stages that need the same share it. */
function thresholdsOf(stages: History['schedule']['stages']): { readonly hours: number; readonly content: string }[] {
  const names = new Map<number, string[]>();
  for (const { stage, requiredHours } of stages)
    names.set(requiredHours, [...(names.get(requiredHours) ?? []), text.stage[stage] ?? stage]);
  return [...names].map(([hours, stage]) => ({ hours, content: text.stageHours(text.listAnd(stage), hoursPlain(hours)) }));
}
