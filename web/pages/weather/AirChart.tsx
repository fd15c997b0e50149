import { useMemo } from 'preact/hooks';
import type { Weather } from '../../api/shapes.ts';
import { BandChart } from '../../chart/BandChart.tsx';
import { PlainTable } from '../../chart/PlainTable.tsx';
import { fullMoment, unitSign } from '../../look/format.ts';
import { unit } from '../../look/settings.ts';
import { weatherText } from '../../text/weatherText.ts';
import { airDrawing, airRows, airSummary } from './airDrawing.ts';
import type { Hour } from './weatherDraft.ts';

const words = weatherText.chart;

interface Props {
  weather: Weather;
  typed: readonly Hour[];
  nowMs: number;
  zone: string;
}

/** The air of the last two days and that to come, with what is typed below. */
export function AirChart({ weather, typed, nowMs, zone }: Props) {
  const drawing = useMemo(() => airDrawing(weather, typed, nowMs, zone), [weather, typed, nowMs, zone]);
  const isEmpty = drawing.lines.every(({ points }) => points.length === 0);
  return (
    <section class="panel" aria-labelledby="air-title">
      <h2 id="air-title">{words.title}</h2>
      {isEmpty ? (
        <p>{words.empty}</p>
      ) : (
        <>
          <BandChart
            drawing={drawing}
            axis={words.axis(unitSign())}
            summary={airSummary(weather, typed, nowMs)}
            keyName={weatherText.key}
          />
          <p class="soft">{weatherText.zone(zone)}</p>
          <PlainTable
            key={unit.value}
            title={weatherText.table}
            columns={[words.tableTime, words.tableMeasured, words.tableAhead, words.tableBand]}
            rows={() => airRows(weather, nowMs).map(([atMs, ...cells]) => [fullMoment(atMs), ...cells])}
          />
        </>
      )}
    </section>
  );
}
