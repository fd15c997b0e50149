import { Chart, LinearScale, LineController, LineElement, PointElement, TimeScale, Tooltip } from 'chart.js';
import AnnotationPlugin from 'chartjs-plugin-annotation';
import 'chartjs-adapter-luxon';
import { rowsOf, valuesOf } from '../../chart/gaps.ts';
import type { ChartLook } from '../../chart/look.ts';
import { PlainTable } from '../../chart/PlainTable.tsx';
import { useLineChart } from '../../chart/useLineChart.ts';
import type { OpenedJoint } from '../../evidence/opened.ts';
import { momentIn } from '../../evidence/when.ts';
import { hoursDone, temperature, unitSign } from '../../look/format.ts';
import { openedText } from '../../text/openedText.ts';
import { type Dot, recordConfig, seriesName, strokeOfSeries } from './recordConfig.ts';
import '../../style/chart.css';

Chart.register(LineController, LineElement, PointElement, LinearScale, TimeScale, Tooltip, AnnotationPlugin);

const words = openedText.chart;

/** A joint's temperatures and warm hours out of a bundle: as drawing, in sentences, and as numbers. */
export function RecordChart({ joint, zone }: { joint: OpenedJoint; zone: string }) {
  const { canvas, look } = useLineChart<Dot>((drawnIn) => recordConfig(joint, zone, drawnIn), [joint, zone]);

  if (joint.series.length === 0) return <p class="soft">{words.none}</p>;
  const summary = summaryOf(joint);
  const columns = [words.tableTime, ...joint.series.map(seriesName), words.warm];
  return (
    <div class="record-chart">
      <p class="chart-axes" aria-hidden="true">
        <span>{words.axis(unitSign())}</span>
        <span class="chart-axis-warm">{words.axisHours}</span>
      </p>
      <div class="chart-frame">
        <canvas ref={canvas} role="img" aria-label={summary.join(' ')} />
      </div>
      <p class="soft">{words.zone(zone)}</p>
      {look.value !== null && <Key joint={joint} look={look.value} />}
      <ul class="summary">
        {summary.map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
      <PlainTable title={words.table} columns={columns} rows={() => tableOf(joint, zone)} />
    </div>
  );
}

function summaryOf({ series, progress }: OpenedJoint): string[] {
  const seen = series.map((each) => {
    const values = valuesOf(each.points);
    if (values.length === 0) return words.summaryNone(seriesName(each));
    return words.summary(seriesName(each), temperature(Math.min(...values)), temperature(Math.max(...values)));
  });
  return [...seen, words.summaryHours(hoursDone(progress.at(-1)?.[1] ?? 0))];
}

function tableOf({ series, progress }: OpenedJoint, zone: string): string[][] {
  return rowsOf([...series.map(({ points }) => points), progress]).map(({ atMs, cells }) => [
    momentIn(atMs, zone),
    ...cells.map((value, column) => {
      if (value === undefined) return '';
      if (value === null) return words.gap;
      return column === series.length ? hoursDone(value) : temperature(value);
    }),
  ]);
}

function Key({ joint, look }: { joint: OpenedJoint; look: ChartLook }) {
  return (
    <ul class="chart-key" aria-label={words.key}>
      {joint.series.map((series, index) => {
        const { colour, dash } = strokeOfSeries(joint, index, look);
        return (
          <li key={series.source}>
            <svg class="swatch" viewBox="0 0 36 16" aria-hidden="true">
              <path d="M0 8h36" stroke={colour} stroke-width="2" stroke-dasharray={dash.join(' ') || 'none'} />
            </svg>
            {seriesName(series)}
          </li>
        );
      })}
      <li>
        <svg class="swatch" viewBox="0 0 36 16" aria-hidden="true">
          <path d="M0 8h36" stroke={look.warm} stroke-width="3.5" />
        </svg>
        {words.warm}
      </li>
      {(['cold', 'unproven'] as const).map((reason) =>
        joint.uncredited.some((span) => span.reason === reason) ? (
          <li key={reason}>
            <svg class={`swatch swatch-${reason}`} viewBox="0 0 36 16" aria-hidden="true">
              {reason === 'cold' ? (
                <path d="M4 4h.01M12 4h.01M20 4h.01M28 4h.01M8 12h.01M16 12h.01M24 12h.01M32 12h.01" class="swatch-dots" />
              ) : (
                <path d="M0 16 16 0M10 16 26 0M20 16 36 0" class="swatch-hatch" />
              )}
            </svg>
            {words[reason]}
          </li>
        ) : null,
      )}
    </ul>
  );
}
