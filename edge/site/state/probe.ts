import type { Calibration } from '../../cure/sensors/calibration.ts';
import type { Sensor } from '../../cure/sensors/sensor.ts';
import { defaultBudget, guardMilliC } from '../../cure/sensors/uncertainty.ts';
import type { Entry } from '../entries.ts';
import { DEFAULT_HUMIDITY_UNCERTAINTY_PERCENT, DEFAULT_UNCERTAINTY_CELSIUS, type ProbeRole } from '../said/instruments.ts';
import { type Subject, standing, type Told } from './site.ts';

/** A probe's settings, in force from `fromMs` on. The first registration counts for all earlier readings too. */
export interface ProbeSettings {
  readonly fromMs: number;
  readonly sensor: Sensor;
  readonly calibration: Pick<Calibration, 'points'> | null;
  /** Guard band on temperatures, m°C, and on relative humidities, m%RH. */
  readonly uncertaintyMilliC: number;
  readonly uncertaintyMilliPercent: number;
}

/** A logger's file that counts as a source of its own. */
export interface Imported extends Told {
  readonly source: string;
  readonly file: string;
  readonly sha256: string;
  readonly rows: number;
  readonly fromMs: number;
  readonly toMs: number;
}

export interface CalibrationOnRecord extends Told {
  readonly calibration: Calibration;
  readonly dueMs: number | null;
}

export type AboutProbe = Extract<
  Entry,
  { kind: 'probe.registered' | 'calibration.recorded' | 'probe.mapped' | 'readings.imported' | 'note.added' }
>;
type Registered = Extract<Entry, { kind: 'probe.registered' }>;

/** What a registration said beside name and sensor; null where it said nothing. */
export interface ToldOfProbe {
  readonly uncertaintyCelsius: number | null;
  readonly humidityUncertaintyPercent: number | null;
  readonly levelUncertaintyMillimetres: number | null;
  readonly batteryLowVolts: number | null;
}

export interface Probe extends Subject<AboutProbe> {
  readonly probe: string;
  readonly role: ProbeRole;
  label: string;
  settings: ProbeSettings[];
  calibrations: CalibrationOnRecord[];
  imports: Imported[];
  batteryLowMilliVolts: number | null;
  /** Null: nobody said. */
  levelUncertaintyMm: number | null;
  /** What the last registration said of itself: the next one replaces all of it. */
  told: ToldOfProbe;
}

const NOTHING_TOLD: ToldOfProbe = {
  uncertaintyCelsius: null,
  humidityUncertaintyPercent: null,
  levelUncertaintyMillimetres: null,
  batteryLowVolts: null,
};

export function newProbe({ probe, role }: Registered): Probe {
  return {
    said: new Map(),
    withdrawals: new Map(),
    probe,
    role,
    label: probe,
    settings: [],
    calibrations: [],
    imports: [],
    batteryLowMilliVolts: null,
    levelUncertaintyMm: null,
    told: NOTHING_TOLD,
  };
}

/** Works out a probe anew from all that was said about it and not taken back. */
export function deriveProbe(probe: Probe): void {
  probe.calibrations = [];
  probe.imports = [];
  const registrations: { readonly fromMs: number; readonly entry: Registered }[] = [];
  for (const { entry, ...told } of standing(probe)) {
    switch (entry.kind) {
      case 'probe.registered':
        registrations.push({ fromMs: registrations.length === 0 ? Number.NEGATIVE_INFINITY : told.recordedMs, entry });
        probe.label = entry.label ?? probe.label;
        probe.batteryLowMilliVolts = entry.batteryLowVolts === undefined ? null : Math.round(entry.batteryLowVolts * 1000);
        probe.levelUncertaintyMm = entry.levelUncertaintyMillimetres ?? null;
        probe.told = {
          uncertaintyCelsius: entry.uncertaintyCelsius ?? null,
          humidityUncertaintyPercent: entry.humidityUncertaintyPercent ?? null,
          levelUncertaintyMillimetres: entry.levelUncertaintyMillimetres ?? null,
          batteryLowVolts: entry.batteryLowVolts ?? null,
        };
        break;
      case 'calibration.recorded': {
        const dueMs = entry.dueAt === undefined ? null : Date.parse(entry.dueAt);
        probe.calibrations.push({ ...told, calibration: entry.calibration, dueMs });
        break;
      }
      case 'readings.imported': {
        const { source, file, sha256, rows } = entry;
        probe.imports.push({ ...told, source, file, sha256, rows, fromMs: Date.parse(entry.from), toMs: Date.parse(entry.to) });
        break;
      }
      case 'probe.mapped':
      case 'note.added':
        break;
    }
  }
  probe.settings = settingsOf(registrations, probe.calibrations);
}

function settingsOf(
  registrations: readonly { readonly fromMs: number; readonly entry: Registered }[],
  calibrations: readonly CalibrationOnRecord[],
): ProbeSettings[] {
  const changes = [...registrations, ...calibrations.map(({ atMs, calibration }) => ({ fromMs: atMs, calibration }))].sort(
    (a, b) => a.fromMs - b.fromMs,
  );
  const settings: ProbeSettings[] = [];
  let registered = registrations[0]?.entry;
  let calibration: Calibration | null = null;
  for (const change of changes) {
    if ('entry' in change) {
      // Another sensor under the same name has not been compared with anything yet.
      if (JSON.stringify(change.entry.sensor) !== JSON.stringify(registered?.sensor)) calibration = null;
      registered = change.entry;
    } else calibration = change.calibration;
    if (registered === undefined) continue;
    const next = { fromMs: change.fromMs, ...inForce(registered, calibration) };
    const before = settings.at(-1);
    if (before === undefined || JSON.stringify({ ...before, fromMs: 0 }) !== JSON.stringify({ ...next, fromMs: 0 }))
      settings.push(next);
  }
  return settings;
}

function inForce(
  { sensor, uncertaintyCelsius, humidityUncertaintyPercent = DEFAULT_HUMIDITY_UNCERTAINTY_PERCENT }: Registered,
  calibration: Calibration | null,
): Omit<ProbeSettings, 'fromMs'> {
  return {
    sensor,
    calibration: calibration && { points: calibration.points },
    uncertaintyMilliC: uncertaintyCelsius === undefined ? budgeted(sensor, calibration) : Math.round(uncertaintyCelsius * 1000),
    uncertaintyMilliPercent: Math.round(humidityUncertaintyPercent * 1000),
  };
}

function budgeted(sensor: Sensor, calibration: Calibration | null): number {
  if (sensor.kind === 'digital' && calibration === null) return DEFAULT_UNCERTAINTY_CELSIUS * 1000;
  return guardMilliC(defaultBudget(sensor, calibration));
}
