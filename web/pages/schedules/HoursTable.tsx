import { temperature } from '../../look/format.ts';
import { setupText } from '../../text/setupText.ts';
import { type Compiled, PREVIEW_CELSIUS, stageHours } from './preview.ts';
import { clockWords, stageName } from './scheduleWords.ts';

interface Props {
  compiled: Compiled;
  /** For a moisture law, one column for each. */
  humidities: readonly number[];
  beadMillimetres?: number | null;
}

const words = setupText.schedules.rate;

/** How long each stage takes by the clock at some temperatures. */
export function HoursTable({ compiled, humidities, beadMillimetres = null }: Props) {
  const isMoist = compiled.schedule.law.kind === 'moisture';
  const shown = isMoist ? [...new Set(humidities)] : humidities.slice(0, 1);
  const rows = PREVIEW_CELSIUS.map((celsius) => ({
    celsius,
    cells: shown.flatMap((humidity) =>
      stageHours(compiled, celsius, humidity, beadMillimetres).map((each) => ({ ...each, humidity })),
    ),
  }));
  const heads = rows[0]?.cells ?? [];
  return (
    <>
      <div class="table-frame">
        <table class="numbers hours-table">
          <caption>{words.table}</caption>
          <thead>
            <tr>
              <th scope="col">{words.at}</th>
              {heads.map(({ stage, humidity }) => (
                <th scope="col" key={`${stage} ${humidity}`}>
                  {isMoist ? words.humidityColumn(stageName(stage), String(humidity)) : stageName(stage)}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {rows.map(({ celsius, cells }) => (
              <tr key={celsius}>
                <th scope="row">{temperature(celsius)}</th>
                {cells.map(({ stage, humidity, hours }) => (
                  <td key={`${stage} ${humidity}`} class={hours === null ? 'is-gap' : ''}>
                    {clockWords(hours)}
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <p class="hint">{words.tableLead}</p>
    </>
  );
}
