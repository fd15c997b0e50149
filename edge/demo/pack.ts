/** One measurement as a probe keeps it. */
export interface Sample {
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
 * temperatures in `Cel`. `volts`, when given, is the battery's, taken with the last sample. Throws a RangeError on an empty pack.
 */
export function encodePack(baseName: string, samples: readonly Sample[], volts?: number): string {
  const [first] = samples;
  const last = samples.at(-1);
  if (first === undefined || last === undefined) throw new RangeError('a SenML pack needs at least one sample');
  const after = (atMs: number) => (atMs === first.atMs ? {} : { t: (atMs - first.atMs) / 1000 });
  const records: Record8428[] = samples.map(({ atMs, celsius }) => ({ n: 'temperature', ...after(atMs), v: celsius }));
  if (volts !== undefined) records.push({ n: 'battery', u: 'V', ...after(last.atMs), v: volts });
  records[0] = { bn: baseName, bt: first.atMs / 1000, bu: 'Cel', n: 'temperature', v: first.celsius };
  return JSON.stringify(records);
}
