import { useSignal } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { useEffect } from 'preact/hooks';
import type { ProjectionView } from '../../edge/site/views/outlook.ts';
import type { History } from '../api/shapes.ts';
import { fullMoment, hoursDone, temperature } from '../look/format.ts';
import { jointText } from '../text/jointText.ts';
import { nameOf } from './config.ts';
import { rowsOf } from './gaps.ts';

/** The same numbers as the drawing, as tables, for whoever cannot or will not read a curve. Made only when opened or printed. */
export function NumbersTable({ history, band }: { history: History; band: ProjectionView['band'] }) {
  const open = useSignal(false);
  useEffect(() => {
    const show = () => {
      open.value = true;
    };
    addEventListener('beforeprint', show);
    return () => removeEventListener('beforeprint', show);
  }, []);
  return (
    <details
      class="more"
      open={open.value}
      onToggle={(event) => {
        open.value = event.currentTarget.open;
      }}
    >
      <summary>{jointText.table}</summary>
      {open.value && (
        <>
          <ReadingsTable history={history} />
          {band.length > 0 && <AheadTable band={band} />}
          {history.uncredited.length > 0 && <SpansTable history={history} />}
        </>
      )}
    </details>
  );
}

function ReadingsTable({ history }: { history: History }) {
  const rows = rowsOf([...history.series.map((series) => series.points), history.progress]);
  const warmColumn = history.series.length;
  return (
    <Frame label={jointText.table}>
      <table class="numbers">
        <thead>
          <tr>
            <th scope="col">{jointText.tableTime}</th>
            {history.series.map((series) => (
              <th scope="col" key={`${series.role} ${series.probe}`}>
                {nameOf(series)}
              </th>
            ))}
            <th scope="col">{jointText.tableWarm}</th>
          </tr>
        </thead>
        <tbody>
          {rows.map(({ atMs, cells }) => (
            <tr key={atMs}>
              <th scope="row">{fullMoment(atMs)}</th>
              {cells.map((value, column) =>
                value === null ? (
                  <td key={column} class="is-gap">
                    {jointText.tableGap}
                  </td>
                ) : (
                  <td key={column}>{value === undefined ? '' : column === warmColumn ? hoursDone(value) : temperature(value)}</td>
                ),
              )}
            </tr>
          ))}
        </tbody>
      </table>
    </Frame>
  );
}

function AheadTable({ band }: { band: ProjectionView['band'] }) {
  const words = jointText.ahead;
  const which = [words.low, words.likely, words.high];
  return (
    <Frame label={words.table}>
      <table class="numbers">
        <caption>{words.table}</caption>
        <thead>
          <tr>
            <th scope="col">{jointText.tableTime}</th>
            {[...which.map(words.tableTemperature), ...which.map(words.tableWarm)].map((name) => (
              <th scope="col" key={name}>
                {name}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {band.map(({ at, celsius, warmHours }) => (
            <tr key={at}>
              <th scope="row">{fullMoment(at)}</th>
              {celsius.map((value, place) => (
                <td key={which[place]}>{temperature(value)}</td>
              ))}
              {warmHours.map((value, place) => (
                <td key={which[place]}>{hoursDone(value)}</td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </Frame>
  );
}

function SpansTable({ history }: { history: History }) {
  return (
    <Frame label={jointText.tableSpans}>
      <table class="numbers">
        <caption>{jointText.tableSpans}</caption>
        <thead>
          <tr>
            <th scope="col">{jointText.tableFrom}</th>
            <th scope="col">{jointText.tableTo}</th>
            <th scope="col">{jointText.tableReason}</th>
          </tr>
        </thead>
        <tbody>
          {history.uncredited.map(({ from, to, reason }) => (
            <tr key={from}>
              <th scope="row">{fullMoment(from)}</th>
              <td>{fullMoment(to)}</td>
              <td>{reason === 'cold' ? jointText.spanCold : jointText.spanUnproven}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Frame>
  );
}

/** Wide tables scroll by themselves, and not the page with them. */
function Frame({ label, children }: { label: string; children: ComponentChildren }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable by keyboard
    <section class="table-frame" tabIndex={0} aria-label={label}>
      {children}
    </section>
  );
}
