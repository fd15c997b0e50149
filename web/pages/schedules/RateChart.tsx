import { Chart, type ChartConfiguration, LinearScale, LineController, LineElement, PointElement, Tooltip } from 'chart.js';
import type { ChartLook } from '../../chart/look.ts';
import { useLineChart } from '../../chart/useLineChart.ts';
import { inUnit, limit, percent, signed, temperature, unitSign } from '../../look/format.ts';
import { unit } from '../../look/settings.ts';
import { setupText } from '../../text/setupText.ts';
import { type Compiled, rateCurve, spanOf } from './preview.ts';
import '../../style/chart.css';

Chart.register(LineController, LineElement, PointElement, LinearScale, Tooltip);

/** A curve to draw: a schedule, and the humidity that it is drawn for. */
export interface Curve {
  readonly title: string;
  readonly compiled: Compiled;
  readonly humidityPercent: number;
  /** The schedule in question, the same at another humidity, or the one it is compared with. */
  readonly as: 'changed' | 'elsewhere' | 'copied';
}

interface Dot {
  readonly x: number;
  readonly y: number;
}

type RateConfig = ChartConfiguration<'line', Dot[]>;

const words = setupText.schedules.rate;

/** How much an hour counts for at each temperature, as drawing and in words. */
export function RateChart({ curves }: { curves: readonly Curve[] }) {
  const { canvas, look } = useLineChart<Dot>((drawnIn) => configOf(curves, drawnIn), [curves]);

  const summary = curves.map(summaryOf);
  return (
    <>
      <p class="chart-axes rate-axes" aria-hidden="true">
        <span>{words.axisRate}</span>
      </p>
      <div class="rate-frame">
        <canvas ref={canvas} role="img" aria-label={[words.drawn, ...summary].join(' ')} />
      </div>
      <p class="rate-below" aria-hidden="true">
        {words.axisTemperature(unitSign())}
      </p>
      <ul class="chart-key">
        {curves.map((curve, index) => (
          <li key={curve.title}>
            <svg class="swatch" viewBox="0 0 36 16" aria-hidden="true">
              <path
                d="M0 8h36"
                stroke={look.value === null ? 'currentColor' : colourOf(curve, look.value)}
                stroke-width={STROKES[curve.as].width}
                stroke-dasharray={STROKES[curve.as].dash.join(' ') || 'none'}
              />
            </svg>
            {summary[index]}
          </li>
        ))}
      </ul>
    </>
  );
}

/** Dry air takes off what warmth brings: where the credit is full then, only the curve tells. */
function summaryOf({ title, compiled, humidityPercent }: Curve): string {
  const { schedule, table } = compiled;
  const floorCelsius = table.floorMilliC / 1000;
  if (schedule.law.kind !== 'moisture') return words.summary(title, limit(floorCelsius), limit(schedule.referenceCelsius));
  const points = rateCurve(table, floorCelsius, table.topMilliC / 1000, humidityPercent);
  const full = points.find(({ rate }) => rate >= 1);
  if (full !== undefined) return words.summary(title, limit(floorCelsius), limit(full.celsius));
  return words.neverFull(title, limit(floorCelsius), percent(Math.max(...points.map(({ rate }) => rate))));
}

/** Told apart by dash as well as by colour. */
const STROKES: Readonly<Record<Curve['as'], { readonly width: number; readonly dash: number[] }>> = {
  changed: { width: 3.5, dash: [] },
  elsewhere: { width: 3.5, dash: [2, 5] },
  copied: { width: 2, dash: [7, 5] },
};

const colourOf = ({ as }: Curve, look: ChartLook) => (as === 'copied' ? look.soft : look.warm);

function configOf(curves: readonly Curve[], look: ChartLook): RateConfig {
  const { fromCelsius, toCelsius } = spanOf(curves.map(({ compiled }) => compiled));
  const font = { family: look.font, size: 13 };
  return {
    type: 'line',
    data: {
      datasets: curves.map((curve) => {
        const colour = colourOf(curve, look);
        const { dash, width } = STROKES[curve.as];
        return {
          label: curve.title,
          data: rateCurve(curve.compiled.table, fromCelsius, toCelsius, curve.humidityPercent).map(({ celsius, rate }) => ({
            x: inUnit(celsius),
            y: rate * 100,
          })),
          borderColor: colour,
          backgroundColor: colour,
          borderDash: dash,
          borderWidth: width,
          pointRadius: 0,
          // The line at 0 and at 100 % is drawn whole.
          clip: 4,
          order: curve.as === 'copied' ? 1 : 0,
        };
      }),
    },
    options: {
      animation: false,
      responsive: true,
      maintainAspectRatio: false,
      interaction: { mode: 'nearest', axis: 'x', intersect: false },
      scales: {
        x: {
          type: 'linear',
          min: inUnit(fromCelsius),
          max: inUnit(toCelsius),
          ticks: { color: look.soft, font, maxRotation: 0, autoSkipPadding: 16, callback: (value) => signed(value) },
          grid: { display: false },
          border: { color: look.line },
        },
        y: {
          min: 0,
          max: 100,
          ticks: { color: look.ink, font, maxTicksLimit: 6 },
          grid: { color: look.line, lineWidth: 0.5 },
          border: { display: false },
        },
      },
      plugins: {
        legend: { display: false },
        tooltip: {
          titleFont: font,
          bodyFont: font,
          callbacks: {
            title: ([item]) => temperature(celsiusAt(item?.parsed.x ?? 0)),
            label: (item) => words.tip(item.dataset.label ?? '', percent((item.parsed.y ?? 0) / 100)),
          },
        },
      },
    },
  };
}

const celsiusAt = (shown: number) => (unit.value === 'F' ? (shown - 32) / 1.8 : shown);
