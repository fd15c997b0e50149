import { z } from 'zod';
import { Sensor } from '../../cure/sensors/sensor.ts';
import { Mapping } from '../mapping.ts';
import { ProbeRole } from '../said/instruments.ts';
import type { Probe } from '../state/probe.ts';
import type { SiteState } from '../state/site.ts';
import type { Latest } from './governing.ts';
import { iso, isoOrNull } from './iso.ts';
import { RecordLine, recordOf } from './record.ts';

export const ProbeView = z.strictObject({
  probe: z.string(),
  label: z.string(),
  role: ProbeRole.nullable(),
  registered: z.boolean(),
  sensor: Sensor.nullable(),
  uncertaintyCelsius: z.number().nullable(),
  humidityUncertaintyPercent: z.number().nullable(),
  /** What its registration said of itself; null: nothing registered. The next registration replaces all of it. */
  told: z
    .strictObject({
      uncertaintyCelsius: z.number().nullable(),
      humidityUncertaintyPercent: z.number().nullable(),
      levelUncertaintyMillimetres: z.number().nullable(),
      batteryLowVolts: z.number().nullable(),
    })
    .nullable(),
  joints: z.array(z.string()),
  latest: z.strictObject({ celsius: z.number(), at: z.string() }).nullable(),
  humidity: z.strictObject({ percent: z.number(), at: z.string() }).nullable(),
  level: z.strictObject({ millimetres: z.number(), at: z.string() }).nullable(),
  /** As the sensor sent it. */
  ohms: z.strictObject({ ohms: z.number(), at: z.string() }).nullable(),
  online: z.boolean().nullable(),
  calibrations: z.array(
    z.strictObject({
      seq: z.int(),
      at: z.string(),
      by: z.string(),
      reference: z.string(),
      referenceUncertaintyCelsius: z.number(),
      points: z.array(z.strictObject({ referenceCelsius: z.number(), indicatedCelsius: z.number() })),
      dueAt: z.string().nullable(),
    }),
  ),
  imports: z.array(
    z.strictObject({
      seq: z.int(),
      file: z.string(),
      sha256: z.string(),
      rows: z.int(),
      from: z.string(),
      to: z.string(),
      by: z.string(),
      at: z.string(),
    }),
  ),
  mappings: z.array(z.strictObject({ seq: z.int(), mapping: Mapping })),
  /** All that was said about it, newest first. */
  record: z.array(RecordLine),
});
export type ProbeView = z.infer<typeof ProbeView>;

/** Newest values of one probe, as its settings make them. */
export interface LatestOfProbe {
  readonly temperature: Latest | undefined;
  readonly humidity: Latest | undefined;
  /** µm. */
  readonly level: Latest | undefined;
  /** mΩ. */
  readonly resistance: Latest | undefined;
}

/** A probe, or a stranger heard on the site's topics that nobody has registered yet (`probe` null). */
export function probeView(
  site: SiteState,
  name: string,
  probe: Probe | null,
  { temperature, humidity, level, resistance }: LatestOfProbe,
  online: boolean | null,
): ProbeView {
  const joints = [...site.joints.values()].filter((joint) => {
    const assigned = joint.assignments.at(-1);
    return assigned?.probes.includes(name) || assigned?.ambient === name;
  });
  const settings = probe?.settings.at(-1);
  return {
    probe: name,
    label: probe?.label ?? name,
    role: probe?.role ?? null,
    registered: probe !== null,
    sensor: settings?.sensor ?? null,
    uncertaintyCelsius: settings === undefined ? null : settings.uncertaintyMilliC / 1000,
    humidityUncertaintyPercent: settings === undefined ? null : settings.uncertaintyMilliPercent / 1000,
    told: probe === null ? null : { ...probe.told },
    joints: joints.map((joint) => joint.joint),
    latest: temperature === undefined ? null : { celsius: temperature.milliC / 1000, at: iso(temperature.atMs) },
    humidity: humidity === undefined ? null : { percent: humidity.milliC / 1000, at: iso(humidity.atMs) },
    level: level === undefined ? null : { millimetres: level.milliC / 1000, at: iso(level.atMs) },
    ohms: resistance === undefined ? null : { ohms: resistance.milliC / 1000, at: iso(resistance.atMs) },
    online,
    calibrations: (probe?.calibrations ?? []).map(({ seq, atMs, by, calibration, dueMs }) => ({
      seq,
      at: iso(atMs),
      by: by.name,
      reference: calibration.reference,
      referenceUncertaintyCelsius: calibration.referenceUncertaintyCelsius,
      points: [...calibration.points],
      dueAt: isoOrNull(dueMs),
    })),
    imports: (probe?.imports ?? []).map(({ seq, file, sha256, rows, fromMs, toMs, by, recordedMs }) => ({
      seq,
      file,
      sha256,
      rows,
      from: iso(fromMs),
      to: iso(toMs),
      by: by.name,
      at: iso(recordedMs),
    })),
    mappings: probe === null ? [] : mappingsOf(probe),
    record: probe === null ? [] : recordOf(probe),
  };
}

function mappingsOf({ said, withdrawals }: Probe): ProbeView['mappings'] {
  return [...said].flatMap(([seq, entry]) => {
    if (entry.kind !== 'probe.mapped' || withdrawals.has(seq)) return [];
    const { probe, topic, fields, time } = entry;
    return [{ seq, mapping: { probe, topic, fields, ...(time === undefined ? {} : { time }) } }];
  });
}
