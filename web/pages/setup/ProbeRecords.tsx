import { useSignal } from '@preact/signals';
import type { ProbeView } from '../../../edge/site/views/probe.ts';
import { mayWrite } from '../../live/session.ts';
import { dated, temperature } from '../../look/format.ts';
import { setupText } from '../../text/setupText.ts';
import { text } from '../../text/text.ts';
import { type OnRecord, Withdraw } from './Withdraw.tsx';

const words = setupText.setup.probes;

interface Line extends OnRecord {
  readonly more: string;
}

/** What was recorded on a probe: calibrations, files, mappings, each to be taken back. */
export function ProbeRecords({ view }: { view: ProbeView }) {
  const withdrawing = useSignal<OnRecord | null>(null);
  const groups: readonly (readonly [title: string, lines: readonly Line[]])[] = [
    [words.calibrationsOf, calibrationLines(view)],
    [words.importsOf, importLines(view)],
    [words.mappingsOf, mappingLines(view)],
  ];
  const count = groups.reduce((sum, [, lines]) => sum + lines.length, 0);
  if (count === 0) return null;
  return (
    <details class="more probe-records">
      <summary>{words.history(count)}</summary>
      {groups.map(
        ([title, lines]) =>
          lines.length > 0 && (
            <div key={title}>
              <h4>{title}</h4>
              <ul class="rows">
                {lines.map((line) => (
                  <li class="row" key={line.seq}>
                    <span class="row-main">
                      <span>{line.what}</span>
                      {line.more !== '' && <span class="soft">{line.more}</span>}
                    </span>
                    {mayWrite() && (
                      <button
                        type="button"
                        class="button"
                        aria-label={`${words.takeBack}: ${line.what}`}
                        onClick={() => {
                          withdrawing.value = line;
                        }}
                      >
                        {words.takeBack}
                      </button>
                    )}
                  </li>
                ))}
              </ul>
            </div>
          ),
      )}
      {withdrawing.value !== null && (
        <Withdraw
          entry={withdrawing.value}
          about={view.label}
          onClose={() => {
            withdrawing.value = null;
          }}
        />
      )}
    </details>
  );
}

const at = (instant: string) => dated(Date.parse(instant));

function calibrationLines({ calibrations }: ProbeView): Line[] {
  return calibrations.map(({ seq, at: from, by, reference, points, dueAt }) => {
    const shown = points.map(({ indicatedCelsius, referenceCelsius }) =>
      words.calibrationPoint(temperature(indicatedCelsius), temperature(referenceCelsius)),
    );
    const due = dueAt === null ? [] : [words.due(at(dueAt))];
    return {
      seq,
      what: words.calibrationLine(at(from), by, reference),
      more: [words.calibrationPoints(text.listAnd(shown)), ...due].join(', '),
    };
  });
}

function importLines({ imports }: ProbeView): Line[] {
  return imports.map(({ seq, file, rows, from, to, by, at: taken, sha256 }) => ({
    seq,
    what: words.importLine(file, rows.toLocaleString(text.locale), at(from), at(to)),
    more: words.importBy(by, at(taken), sha256.slice(0, 16)),
  }));
}

function mappingLines({ mappings }: ProbeView): Line[] {
  return mappings.map(({ seq, mapping }) => {
    const fields = mapping.fields.map(
      ({ quantity, pointer, unit }) =>
        `${setupText.setup.devices.quantityName[quantity]} ${pointer} (${setupText.setup.devices.unitName[unit] ?? unit})`,
    );
    return { seq, what: words.mappingLine(mapping.topic, text.listAnd(fields)), more: '' };
  });
}
