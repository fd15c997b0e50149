import type { ProbeView } from '../../../edge/site/views/probe.ts';
import { mayTakeBack, mayWrite } from '../../live/session.ts';
import { dated, difference, temperature } from '../../look/format.ts';
import { setupText } from '../../text/setupText.ts';
import { text } from '../../text/text.ts';
import type { OnRecord } from './Withdraw.tsx';

/** One thing that was said of a probe. */
export interface ProbeLine extends OnRecord {
  readonly more: string;
  readonly said: string;
  /** Who took it back and why; empty: it stands. */
  readonly withdrawn: string;
  /** Whoever is signed in may take it back. */
  readonly isTheirs: boolean;
}

const words = setupText.setup.probes;
const at = (instant: string) => dated(Date.parse(instant));

/** What others rest on: crew take back only their own. */
const VERDICTS: ReadonlySet<string> = new Set(['calibration.recorded', 'probe.mapped', 'probe.registered']);

/** All that was said of a probe, newest first; what is in force in full, what was taken back as it was written down. */
export function probeLines(view: ProbeView): ProbeLine[] {
  const full = new Map([...calibrationWords(view), ...importWords(view), ...mappingWords(view)]);
  const first = view.record.findLast(({ kind }) => kind === 'probe.registered')?.seq;
  return view.record.map(({ seq, kind, at: from, by, role, text: plain, withdrawn }) => {
    const { what, more } = full.get(seq) ?? { what: inOwnWords(plain), more: '' };
    return {
      seq,
      what: words.recordLine(words.recordKind[kind] ?? kind, what),
      more,
      said: words.recordBy(at(from), by),
      withdrawn: withdrawn === null ? '' : words.recordWithdrawn(withdrawn.by, at(withdrawn.at), withdrawn.reason),
      // The first registration is what the probe stands on.
      isTheirs: withdrawn === null && seq !== first && (VERDICTS.has(kind) ? mayTakeBack(by, role) : mayWrite()),
    };
  });
}

type Full = readonly [seq: number, words: { readonly what: string; readonly more: string }];

function calibrationWords({ calibrations }: ProbeView): Full[] {
  return calibrations.map(({ seq, reference, points, dueAt }) => {
    const shown = points.map(({ indicatedCelsius, referenceCelsius }) =>
      words.calibrationPoint(temperature(indicatedCelsius), temperature(referenceCelsius)),
    );
    const due = dueAt === null ? [] : [words.due(at(dueAt))];
    return [seq, { what: words.against(reference), more: [words.calibrationPoints(text.listAnd(shown)), ...due].join(', ') }];
  });
}

function importWords({ imports }: ProbeView): Full[] {
  return imports.map(({ seq, file, rows, from, to, sha256 }) => [
    seq,
    {
      what: words.importLine(file, rows, rows.toLocaleString(text.locale)),
      more: words.importMore(at(from), at(to), sha256.slice(0, 16)),
    },
  ]);
}

function mappingWords({ mappings }: ProbeView): Full[] {
  const { quantityName, unitName } = setupText.setup.devices;
  return mappings.map(({ seq, mapping }) => {
    const fields = mapping.fields.map(
      ({ quantity, pointer, unit }) => `${quantityName[quantity]} ${pointer} (${unitName[unit] ?? unit})`,
    );
    return [seq, { what: mapping.topic, more: text.listAnd(fields) }];
  });
}

/** The service writes in no language and in °C: the kind of sensor, what a registration takes off, the points of a calibration. */
const inOwnWords = (plain: string) =>
  plain
    .replace(/(?<=^| · )(?:digital|pt100|thermistor)(?=$| · )/, (kind) => words.sensorKind[kind as keyof typeof words.sensorKind])
    .replace(/±(\d+(?:\.\d+)?) °C/g, (_, celsius) => `±${difference(Number(celsius))}`)
    .replace(/(-?\d+(?:\.\d+)?): (-?\d+(?:\.\d+)?) °C/g, (_, reference, indicated) =>
      words.calibrationPoint(temperature(Number(indicated)), temperature(Number(reference))),
    );
