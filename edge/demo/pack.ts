/** What a probe may measure beside a temperature, and of itself. */
export interface Besides {
  /** %RH. */
  readonly humidityPercent?: number;
  /** Height of water, m. */
  readonly levelMetres?: number;
  /** What is left in its battery, %EL. */
  readonly batteryPercent?: number;
}

/** One measurement as a probe keeps it. */
export interface Sample extends Besides {
  readonly atMs: number;
  readonly celsius: number;
}

/** Most measurements in one message: small enough for a radio and for the intake's limit of 48 KiB, large enough to catch up fast. */
export const PACK_SAMPLES_MAX = 300;

interface Record8428 {
  bn?: string;
  bt?: number;
  bu?: string;
  n: string;
  u?: string;
  t?: number;
  v: number;
}

/**
 * Samples as one SenML pack (RFC 8428, JSON): base name, base time of the first sample in seconds since 1970, times relative to it,
 * temperatures in `Cel`, humidities in `%RH`, levels in `m`, batteries in `%EL`. `volts`, when given, is the battery's, taken with
 * the last sample. Throws a RangeError on an empty pack.
 */
export function encodePack(baseName: string, samples: readonly Sample[], volts?: number): string {
  const [first] = samples;
  const last = samples.at(-1);
  if (first === undefined || last === undefined) throw new RangeError('a SenML pack needs at least one sample');
  const after = (atMs: number) => (atMs === first.atMs ? {} : { t: (atMs - first.atMs) / 1000 });
  const records = samples.flatMap(({ atMs, celsius, ...besides }): Record8428[] => [
    { n: 'temperature', ...after(atMs), v: celsius },
    ...recordsOf(besides).map((record) => ({ ...record, ...after(atMs) })),
  ]);
  if (volts !== undefined) records.push({ n: 'battery', u: 'V', ...after(last.atMs), v: volts });
  records[0] = { bn: baseName, bt: first.atMs / 1000, bu: 'Cel', n: 'temperature', v: first.celsius };
  return JSON.stringify(records);
}

function recordsOf({ humidityPercent, levelMetres, batteryPercent }: Besides): Record8428[] {
  const record = (n: string, u: string, v: number | undefined) => (v === undefined ? [] : [{ n, u, v }]);
  return [
    ...record('humidity', '%RH', humidityPercent),
    ...record('level', 'm', levelMetres),
    ...record('battery', '%EL', batteryPercent),
  ];
}
