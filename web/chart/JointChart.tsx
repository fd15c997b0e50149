import { Chart, Filler, LinearScale, LineController, LineElement, PointElement, TimeScale, Tooltip } from 'chart.js';
import AnnotationPlugin from 'chartjs-plugin-annotation';
import 'chartjs-adapter-luxon';
import { type Signal, useComputed, useSignal } from '@preact/signals';
import type { JointView } from '../../edge/site/views/joint.ts';
import type { ProjectionView } from '../../edge/site/views/outlook.ts';
import type { History } from '../api/shapes.ts';
import { now } from '../live/clock.ts';
import { joints } from '../live/store.ts';
import { unitSign } from '../look/format.ts';
import { ProblemNote } from '../parts/form.tsx';
import { guardOf } from '../parts/thresholds.ts';
import { jointText } from '../text/jointText.ts';
import { aheadSummary, basisWords } from './aheadWords.ts';
import { ChartKey } from './ChartKey.tsx';
import { chartConfig, type Dot } from './config.ts';
import { EventList } from './EventList.tsx';
import { type Range, useHistory } from './history.ts';
import { NumbersTable } from './NumbersTable.tsx';
import { useProjection } from './projection.ts';
import { summaryOf } from './summary.ts';
import { useLineChart } from './useLineChart.ts';
import '../style/chart.css';

Chart.register(Filler, LineController, LineElement, PointElement, LinearScale, TimeScale, Tooltip, AnnotationPlugin);

const RANGES: readonly Range[] = ['all', 'day', 'short'];

/** A joint's temperatures and warm hours over time, as drawing, as words and as numbers. */
export function JointChart({ joint }: { joint: Signal<JointView> }) {
  const range = useSignal<Range>('all');
  const { history, problem } = useHistory(joint, range);
  const drawn = history.value;
  // Only what is laid up and not through has something ahead.
  const isOpen = joint.value.projected !== null;
  const isWanted = useSignal(true);
  const projection = useProjection(
    joint,
    range,
    useComputed(() => isWanted.value && joint.value.projected !== null),
  );
  return (
    <section class="panel" aria-labelledby="chart-title">
      <div class="panel-top">
        <h2 id="chart-title">{jointText.chart}</h2>
        <fieldset class="segments" aria-label={jointText.ranges}>
          {RANGES.map((each) => (
            <button
              type="button"
              key={each}
              aria-pressed={range.value === each}
              onClick={() => {
                range.value = each;
              }}
            >
              {jointText.range[each]}
            </button>
          ))}
        </fieldset>
      </div>
      {isOpen && (
        <label class="tick">
          <input
            type="checkbox"
            checked={isWanted.value}
            onChange={(event) => {
              isWanted.value = event.currentTarget.checked;
            }}
          />
          {jointText.ahead.title}
        </label>
      )}
      <ProblemNote problem={problem.value} />
      {drawn === null ? (
        <p class="waiting">{jointText.loading}</p>
      ) : (
        <Drawn history={drawn} projection={projection.value} joint={joint.value.joint} guardCelsius={guardOf(joint.value) ?? 0} />
      )}
    </section>
  );
}

interface DrawnProps {
  history: History;
  /** Null: the past alone. */
  projection: ProjectionView | null;
  joint: string;
  guardCelsius: number;
}

function Drawn({ history, projection, joint, guardCelsius }: DrawnProps) {
  const { canvas, look } = useLineChart<Dot>(
    (drawnIn) => chartConfig(history, drawnIn, guardCelsius, projection?.band),
    [history, projection, guardCelsius],
  );

  const summary = [...summaryOf(history), ...(projection === null ? [] : aheadSummary(projection))];
  const hasAhead = projection !== null && projection.band.length > 0;
  return (
    <>
      <p class="chart-axes" aria-hidden="true">
        <span>{jointText.axisTemperature(unitSign())}</span>
        <span class="chart-axis-warm">{jointText.axisHours}</span>
      </p>
      <div class="chart-frame">
        <canvas ref={canvas} role="img" aria-label={summary.join(' ')} />
      </div>
      <p class="soft">{jointText.zone(history.timeZone)}</p>
      {look.value !== null && <ChartKey history={history} look={look.value} hasAhead={hasAhead} />}
      <ul class="summary">
        {summary.map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
      {projection !== null && <Basis projection={projection} />}
      <EventList events={history.events} joint={joint} />
      <NumbersTable history={history} band={projection?.band ?? []} />
    </>
  );
}

/** On what the look ahead rests, below the drawing and not in small print. */
function Basis({ projection }: { projection: ProjectionView }) {
  const sentences = basisWords(projection, joints.value.get(projection.joint)?.value.heating?.what ?? 'heater', now.value);
  return (
    <div class="basis">
      <h3>{jointText.ahead.basis.title}</h3>
      {sentences.length === 0 ? <p>{jointText.ahead.nothing}</p> : <p>{sentences.join(' ')}</p>}
    </div>
  );
}
