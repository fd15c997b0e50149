import type { ProbeView } from '../../../edge/site/views/probe.ts';
import { common } from '../../../web/text/en/common.ts';
import type { Report } from './about.ts';
import { counted, difference, temperature } from './figures.ts';
import { type Run, table } from './table.ts';

/** What it was measured with, how far each is believed, and what it was compared with. */
export function instruments(report: Report): void {
  const { sheet, input } = report;
  sheet.heading(1, 'Instruments');
  if (input.probes.length === 0) {
    sheet.paragraph('No probe was named.');
    return;
  }
  const rows = input.probes.map((probe): (readonly Run[])[] => [
    [{ text: probe.label, bold: true }, ...(probe.label === probe.probe ? [] : [{ text: probe.probe }])],
    [
      { text: probe.role === null ? 'Not registered: its readings count for nothing.' : common.role[probe.role] },
      ...(probe.sensor === null ? [] : [{ text: SENSOR[probe.sensor.kind] }]),
    ],
    uncertaintyOf(probe),
    [...calibrationsOf(report, probe), ...importsOf(report, probe)],
  ]);
  table(
    sheet,
    [
      { head: 'Probe', share: 22 },
      { head: 'Kind', share: 18 },
      { head: 'Uncertainty (k = 2), taken off every value', share: 24 },
      { head: 'Calibration and files', share: 36 },
    ],
    rows,
  );
}

const SENSOR = { digital: 'Digital sensor', pt100: 'Pt100', thermistor: 'Thermistor' } as const;

function uncertaintyOf({ role, uncertaintyCelsius, humidityUncertaintyPercent, told }: ProbeView): Run[] {
  if (role === null) return [];
  if (role === 'level') return [{ text: `±${told?.levelUncertaintyMillimetres ?? 1} mm` }];
  return [
    ...(uncertaintyCelsius === null ? [] : [{ text: `±${difference(uncertaintyCelsius)}` }]),
    ...(role === 'ambient' && humidityUncertaintyPercent !== null
      ? [{ text: `±${humidityUncertaintyPercent} % relative humidity` }]
      : []),
  ];
}

function calibrationsOf({ clock }: Report, { calibrations, role }: ProbeView): Run[] {
  if (calibrations.length === 0) return role === 'level' || role === null ? [] : [{ text: 'No calibration on record.' }];
  return calibrations.map(({ seq, at, by, reference, referenceUncertaintyCelsius, points, dueAt }) => ({
    text: [
      `${clock.at(at)} by ${by} (entry ${seq}), against ${reference} (±${difference(referenceUncertaintyCelsius)})`,
      ...points.map((p) => `showed ${temperature(p.indicatedCelsius)} at ${temperature(p.referenceCelsius)}`),
      ...(dueAt === null ? [] : [`next due ${clock.at(dueAt)}`]),
    ].join('; '),
  }));
}

function importsOf({ clock }: Report, { imports }: ProbeView): Run[] {
  return imports.map(({ seq, file, rows, from, to, by, sha256 }) => ({
    text: `File ${file} (entry ${seq}), taken in by ${by}: ${counted(rows, 'row')}, ${clock.fromTo(from, to)}; SHA-256 ${sha256}`,
  }));
}
