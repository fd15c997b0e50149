import { z } from 'zod';
import { Calibration } from '../../cure/sensors/calibration.ts';
import { Sensor } from '../../cure/sensors/sensor.ts';
import { Mapping } from '../mapping.ts';
import { asked, Id, Instant, Label, Sha256, Text } from './words.ts';

/** `material`: on a joint; `ambient`: in the air beside it; `level`: water in a sump under test. */
export const ProbeRole = z.enum(['material', 'ambient', 'level']);
export type ProbeRole = z.infer<typeof ProbeRole>;

/** A level probe whose uncertainty nobody gave is believed to so many mm. Our own default. */
export const DEFAULT_LEVEL_UNCERTAINTY_MM = 1;
/** Default expanded uncertainty of a digital ±0.5 °C probe, °C. */
export const DEFAULT_UNCERTAINTY_CELSIUS = 0.5;
/** Default expanded uncertainty of a relative humidity, %RH. From memory: usual capacitive sensors, ±3 %RH. */
export const DEFAULT_HUMIDITY_UNCERTAINTY_PERCENT = 3;

export const probeRegistered = z.strictObject({
  kind: z.literal('probe.registered'),
  probe: Id,
  role: ProbeRole,
  label: Label.optional(),
  sensor: Sensor.default({ kind: 'digital' }),
  /** Expanded uncertainty (k = 2), taken off every value; without it, what the sensor's and its calibration's budget comes to. */
  uncertaintyCelsius: z.number().min(0).max(5).optional(),
  humidityUncertaintyPercent: z.number().min(0).max(20).optional(),
  /** Of a level probe, mm. */
  levelUncertaintyMillimetres: z.number().positive().max(100).optional(),
  /** Below it the battery is low, V. */
  batteryLowVolts: z.number().positive().max(100).optional(),
  ...asked,
});

/** The probe was compared with a reference at two temperatures, usually ice (ASTM E563) and a warm bath. */
export const calibrationRecorded = z.strictObject({
  kind: z.literal('calibration.recorded'),
  probe: Id,
  /** From when it corrects the probe's values. */
  at: Instant,
  calibration: Calibration,
  /** When the next one is due. */
  dueAt: Instant.optional(),
  note: Text.optional(),
  ...asked,
});

export const probeMapped = Mapping.extend({ kind: z.literal('probe.mapped'), ...asked });

/** A logger's file was taken in as a source of its own. Made by the program when somebody imports one. */
export const readingsImported = z.strictObject({
  kind: z.literal('readings.imported'),
  probe: Id,
  /** Name of the source in the ledger: the probe's, `#`, and the beginning of the file's hash. */
  source: z.string().max(80),
  file: Label,
  sha256: Sha256,
  rows: z.int().min(1),
  rejected: z.int().min(0),
  from: Instant,
  to: Instant,
});
