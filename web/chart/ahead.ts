import type { ChartDataset } from 'chart.js';
import type { AnnotationOptions } from 'chartjs-plugin-annotation';
import type { ProjectionView } from '../../edge/site/views/outlook.ts';
import type { History, Point } from '../api/shapes.ts';
import { inUnit } from '../look/format.ts';
import { jointText } from '../text/jointText.ts';
import { AHEAD_DASH, type ChartLook } from './look.ts';

interface Dot {
  readonly x: number;
  readonly y: number;
}

type Band = ProjectionView['band'];
type Line = ChartDataset<'line', Dot[]>;

/** What lies ahead, joined to what is there now: there nothing is uncertain yet. */
export function fromNow(band: Band, { to, series, progress }: History): Band {
  const last = (points: readonly Point[]) => points.findLast(([, value]) => value !== null)?.[1] ?? null;
  const celsius = series.flatMap(({ role, points }) => (role === 'material' ? (last(points) ?? []) : []));
  const hours = last(progress);
  if (band.length === 0 || celsius.length === 0 || hours === null) return band;
  // The coldest of them governs.
  const present = Math.min(...celsius);
  return [{ at: Date.parse(to), celsius: [present, present, present], warmHours: [hours, hours, hours] }, ...band];
}

/** What lies ahead as curves: each as its likely course, dashed, over the band from low to high. */
export function aheadSets(band: Band, look: ChartLook): Line[] {
  return [
    ...curve(band, 'celsius', {
      axis: 'y',
      colour: look.ahead,
      fill: look.aheadFill,
      width: 2.5,
      label: jointText.ahead.temperature,
    }),
    ...curve(band, 'warmHours', { axis: 'y1', colour: look.warm, fill: look.warmFill, width: 3.5, label: jointText.ahead.warm }),
  ];
}

interface Style {
  readonly axis: 'y' | 'y1';
  readonly colour: string;
  readonly fill: string;
  readonly width: number;
  readonly label: string;
}

function curve(band: Band, of: 'celsius' | 'warmHours', { axis, colour, fill, width, label }: Style): Line[] {
  const shown = (value: number) => (of === 'celsius' ? inUnit(value) : value);
  const line = (place: 0 | 1 | 2) => band.map((hour) => ({ x: hour.at, y: shown(hour[of][place]) }));
  const plain = { yAxisID: axis, pointRadius: 0, borderColor: colour, backgroundColor: fill, label: '' };
  return [
    { ...plain, data: line(2), borderWidth: 0, fill: '+1' },
    { ...plain, data: line(0), borderWidth: 0 },
    { ...plain, data: line(1), borderWidth: width, borderDash: [...AHEAD_DASH], label },
  ];
}

/** The stroke between what was measured and what lies ahead. */
export function nowLine(nowMs: number, look: ChartLook): AnnotationOptions {
  return {
    type: 'line',
    scaleID: 'x',
    value: nowMs,
    borderColor: look.ink,
    borderWidth: 2,
    label: {
      display: true,
      drawTime: 'afterDraw',
      content: jointText.ahead.now,
      backgroundColor: look.ink,
      color: look.sheet,
      font: { family: look.font, size: 12, weight: 'bold' },
      padding: { x: 5, y: 2 },
      position: 'end',
      yAdjust: 4,
    },
  };
}
