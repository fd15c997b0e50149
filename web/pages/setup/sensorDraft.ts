import type { Sensor } from '../../../edge/cure/sensors/sensor.ts';
import type { ThermistorCurve } from '../../../edge/cure/sensors/thermistor.ts';
import { celsiusOf, numberOf, type Unit, writtenCelsius } from '../schedules/numbers.ts';

export interface SensorPoint {
  readonly temperature: string;
  readonly ohms: string;
}

/** A sensor as it stands in the fields, in the unit of this browser. */
export interface SensorDraft {
  readonly kind: Sensor['kind'];
  readonly tolerance: 'A' | 'B';
  readonly curve: ThermistorCurve['kind'];
  readonly a: string;
  readonly b: string;
  readonly c: string;
  readonly ohmsAt25: string;
  readonly beta: string;
  readonly points: readonly SensorPoint[];
}

export function sensorDraftOf(sensor: Sensor | null, unit: Unit): SensorDraft {
  const curve = sensor?.kind === 'thermistor' ? sensor.curve : null;
  const blank = { temperature: '', ohms: '' };
  return {
    kind: sensor?.kind ?? 'digital',
    tolerance: sensor?.kind === 'pt100' ? sensor.tolerance : 'B',
    curve: curve?.kind ?? 'beta',
    a: curve?.kind === 'steinhartHart' ? String(curve.a) : '',
    b: curve?.kind === 'steinhartHart' ? String(curve.b) : '',
    c: curve?.kind === 'steinhartHart' ? String(curve.c) : '',
    ohmsAt25: curve?.kind === 'beta' ? String(curve.ohmsAt25) : '',
    beta: curve?.kind === 'beta' ? String(curve.betaKelvin) : '',
    points:
      curve?.kind === 'points'
        ? curve.points.map(({ celsius, ohms }) => ({ temperature: writtenCelsius(celsius, unit), ohms: String(ohms) }))
        : [blank, blank, blank],
  };
}

/** A coefficient as makers print it: 1.129148e-3. */
function coefficientOf(text: string): number {
  const plain = text.trim().replace(',', '.').replace('−', '-');
  return /^-?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/.test(plain) ? Number(plain) : Number.NaN;
}

/** The sensor that the fields say, to be checked by `Sensor`. */
export function sensorSaid(draft: SensorDraft, unit: Unit): unknown {
  switch (draft.kind) {
    case 'digital':
      return { kind: 'digital' };
    case 'pt100':
      return { kind: 'pt100', tolerance: draft.tolerance };
    case 'thermistor':
      return { kind: 'thermistor', curve: curveSaidBy(draft, unit) };
  }
}

function curveSaidBy(draft: SensorDraft, unit: Unit): unknown {
  switch (draft.curve) {
    case 'steinhartHart':
      return { kind: 'steinhartHart', a: coefficientOf(draft.a), b: coefficientOf(draft.b), c: coefficientOf(draft.c) };
    case 'beta':
      return { kind: 'beta', ohmsAt25: numberOf(draft.ohmsAt25), betaKelvin: numberOf(draft.beta) };
    case 'points':
      return {
        kind: 'points',
        points: draft.points.map(({ temperature, ohms }) => ({ celsius: celsiusOf(temperature, unit), ohms: numberOf(ohms) })),
      };
  }
}
