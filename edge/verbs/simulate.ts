import { setTimeout as sleep } from 'node:timers/promises';
import { parseArgs } from 'node:util';
import { clockFrom, reportLive } from '../demo/live.ts';
import { Probe } from '../demo/probe.ts';
import { type Body, materialFrom, sensed } from '../demo/thermal.ts';
import { isId } from '../intake/topics.ts';
import type { Io } from './io.ts';

const HOUR_MS = 3_600_000;
const MINUTE_MS = 60_000;

const USAGE = `usage: simulate --mqtt URL --site ID [options]
Publishes simulated probes sim-1, sim-2 … live to an MQTT broker, as real ones would, until it is stopped.
  --mqtt URL           the broker, such as mqtt://127.0.0.1:1883 or mqtts://host:8883
  --site ID            the site whose topics they use
  --probes N           how many probes, 1 to 500 (default 1)
  --every SECONDS      time between two readings of a probe, 0.1 to 3600 (default 5)
  --password KEY       the site's probe key; the user name is the probe's id
  --start-celsius X    temperature at the start, -40 to 85 (default 12); from there it follows a mild day.
                       A negative one is written --start-celsius=-3
  --for SECONDS        stop by itself after so long
  --help               this text`;

interface Order {
  readonly mqttUrl: string;
  readonly site: string;
  readonly probes: number;
  readonly everyMs: number;
  readonly password: string | undefined;
  readonly startCelsius: number;
  readonly forMs: number | null;
}

/** `warmhours simulate`: exit code 0 after a clean end, 1 when the broker cannot be used, 2 for an order that is not understood. */
export async function simulate(args: string[], io: Io): Promise<number> {
  if (args.includes('--help')) {
    io.out(USAGE);
    return 0;
  }
  const read = readOrder(args);
  if (Array.isArray(read)) {
    for (const fault of read) io.err(`simulate: ${fault}`);
    io.err('simulate: --help shows all options');
    return 2;
  }
  const signal = read.forMs === null ? io.signal : AbortSignal.any([io.signal, AbortSignal.timeout(read.forMs)]);
  return publish(read, { ...io, signal });
}

async function publish(
  { mqttUrl, site, probes: count, everyMs, password, startCelsius }: Order,
  { out, err, signal }: Io,
): Promise<number> {
  const startMs = Date.now();
  const names = Array.from({ length: count }, (_, index) => `sim-${index + 1}`);
  const attempts = await Promise.allSettled(
    names.map((probe) => Probe.connect({ mqttUrl, site, probe, baseName: `${probe}:`, probeKey: password })),
  );
  const probes = attempts.flatMap((attempt) => (attempt.status === 'fulfilled' ? [attempt.value] : []));
  const failed = attempts.find((attempt) => attempt.status === 'rejected');
  const acknowledged = () => probes.reduce((total, probe) => total + probe.acknowledged, 0);
  try {
    if (failed !== undefined) {
      err(`simulate: ${(failed.reason as Error).message}`);
      return 1;
    }
    out(
      `simulate: ${count} probe${count === 1 ? '' : 's'} connected to ${new URL(mqttUrl).host}, a reading every ${everyMs / 1000} s`,
    );
    const clock = clockFrom(startMs);
    await Promise.all([
      ...probes.map((probe, index) => {
        const materialAt = materialFrom(mildly, mildDay(startCelsius, startMs), startMs);
        const celsiusAt = (atMs: number) => sensed(materialAt(atMs), index + 1, atMs);
        return reportLive(probe, { celsiusAt, clock, delayMs: (index / count) * everyMs, everyMs, signal });
      }),
      everyMinute(signal, () => {
        const online = probes.filter((probe) => probe.online).length;
        out(`simulate: ${acknowledged()} readings acknowledged so far, ${online} of ${count} probes online`);
      }),
    ]);
  } finally {
    await Promise.all(probes.map((probe) => probe.end()));
  }
  out(`simulate: ended; ${acknowledged()} readings acknowledged`);
  return 0;
}

/** A bonded joint under a blanket, slow to follow the air. */
const mildly: Body = { timeConstantMs: 3 * HOUR_MS, offsetCelsius: 0, layUp: null, heater: null };

/** Air that starts at `startCelsius` and swings 5 °C about it within a day. */
function mildDay(startCelsius: number, startMs: number): (atMs: number) => number {
  return (atMs) => startCelsius + 5 * Math.sin((2 * Math.PI * (atMs - startMs)) / (24 * HOUR_MS));
}

async function everyMinute(signal: AbortSignal, act: () => void): Promise<void> {
  while (!signal.aborted) {
    await sleep(MINUTE_MS, undefined, { signal }).then(act, () => undefined);
  }
}

/** The order, or everything that is wrong with it. */
function readOrder(args: string[]): Order | string[] {
  let values: Partial<Record<'mqtt' | 'site' | 'probes' | 'every' | 'password' | 'start-celsius' | 'for', string>>;
  try {
    const text = { type: 'string' } as const;
    const options = { mqtt: text, site: text, probes: text, every: text, password: text, 'start-celsius': text, for: text };
    values = parseArgs({ args, options }).values;
  } catch (error) {
    return [(error as Error).message];
  }
  const faults: string[] = [];
  const number = (
    name: 'probes' | 'every' | 'start-celsius' | 'for',
    least: number,
    most: number,
    whole: boolean,
  ): number | null => {
    const given = values[name];
    if (given === undefined) return null;
    const value = given.trim() === '' ? Number.NaN : Number(given);
    const right = value >= least && value <= most && (!whole || Number.isInteger(value));
    if (!right) faults.push(`--${name} must be a ${whole ? 'whole ' : ''}number from ${least} to ${most}, not "${given}"`);
    return value;
  };
  const { mqtt: mqttUrl = '', site = '', password } = values;
  const protocol = URL.parse(mqttUrl)?.protocol;
  if (protocol !== 'mqtt:' && protocol !== 'mqtts:')
    faults.push(`--mqtt must be the broker's address, such as mqtt://127.0.0.1:1883${mqttUrl && `, not "${mqttUrl}"`}`);
  if (!isId(site))
    faults.push(
      `--site must be the site's id: letters, digits, dots, hyphens and underscores, at most 64${site && `, not "${site}"`}`,
    );
  if (password === '') faults.push('--password must not be empty; leave it out for a broker without passwords');
  const probes = number('probes', 1, 500, true) ?? 1;
  const everySeconds = number('every', 0.1, 3600, false) ?? 5;
  const startCelsius = number('start-celsius', -40, 85, false) ?? 12;
  const forSeconds = number('for', 0.1, 1_000_000, false);
  if (faults.length > 0) return faults;
  return {
    mqttUrl,
    site,
    probes,
    everyMs: everySeconds * 1000,
    password,
    startCelsius,
    forMs: forSeconds === null ? null : forSeconds * 1000,
  };
}
