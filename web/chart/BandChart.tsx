import { Chart, Filler, LinearScale, LineController, LineElement, PointElement, TimeScale, Tooltip } from 'chart.js';
import AnnotationPlugin from 'chartjs-plugin-annotation';
import 'chartjs-adapter-luxon';
import {
  type BandDrawing,
  bandConfig,
  bandFill,
  colourOf,
  type Dot,
  LEVEL_WIDTH,
  levelDash,
  MARK_WIDTH,
  STROKES,
} from './bandConfig.ts';
import type { ChartLook } from './look.ts';
import { useLineChart } from './useLineChart.ts';
import '../style/chart.css';

Chart.register(LineController, LineElement, PointElement, LinearScale, TimeScale, Tooltip, Filler, AnnotationPlugin);

interface Props {
  drawing: BandDrawing;
  /** What the axis shows. */
  axis: string;
  /** The same in sentences. */
  summary: readonly string[];
  /** What the key is called. */
  keyName: string;
}

/** What was, what is likely and how far off it may be, over time, with the same in sentences. */
export function BandChart({ drawing, axis, summary, keyName }: Props) {
  const { canvas, look } = useLineChart<Dot>((drawnIn) => bandConfig(drawing, drawnIn), [drawing]);
  return (
    <>
      <p class="chart-axes" aria-hidden="true">
        <span>{axis}</span>
      </p>
      <div class="chart-frame band-frame">
        <canvas ref={canvas} role="img" aria-label={summary.join(' ')} />
      </div>
      {look.value !== null && <Key drawing={drawing} look={look.value} name={keyName} />}
      <ul class="summary">
        {summary.map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
    </>
  );
}

function Key({ drawing: { lines, band, levels, marks }, look, name }: { drawing: BandDrawing; look: ChartLook; name: string }) {
  return (
    <ul class="chart-key" aria-label={name}>
      {lines.map(({ label, as }) => (
        <li key={label}>
          <svg class="swatch" viewBox="0 0 36 16" aria-hidden="true">
            <path
              d="M0 8h36"
              stroke={colourOf(as, look)}
              stroke-width={STROKES[as].width}
              stroke-dasharray={STROKES[as].dash.join(' ') || 'none'}
            />
          </svg>
          {label}
        </li>
      ))}
      {band !== null && (
        <li>
          <svg class="swatch" viewBox="0 0 36 16" aria-hidden="true">
            <rect width="36" height="16" fill={bandFill(look)} />
            <path d="M0 .5h36M0 15.5h36" stroke={look.warm} stroke-dasharray="1 3" />
          </svg>
          {band.label}
        </li>
      )}
      {levels.map(({ label, isCold }) => (
        <li key={label}>
          <svg class="swatch" viewBox="0 0 36 16" aria-hidden="true">
            <path
              d="M0 8h36"
              stroke={isCold ? look.cold : look.ink}
              stroke-width={LEVEL_WIDTH}
              stroke-dasharray={levelDash(isCold).join(' ')}
            />
          </svg>
          {label}
        </li>
      ))}
      {marks.map(({ label }) => (
        <li key={label}>
          <svg class="swatch" viewBox="0 0 36 16" aria-hidden="true">
            <path d="M18 0v16" stroke={look.ink} stroke-width={MARK_WIDTH} />
          </svg>
          {label}
        </li>
      ))}
    </ul>
  );
}
