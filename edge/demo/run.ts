import { clockFrom, reportLive } from './live.ts';
import { encodePack } from './pack.ts';
import { Probe } from './probe.ts';
import { type Sensor, sensorsAt } from './sensors.ts';
import { statementsAt } from './statements.ts';

/** How often each probe reports once it has caught up, ms. */
const LIVE_EVERY_MS = 5_000;

export interface DemoOptions {
  /** Address of the running site, such as http://127.0.0.1:8080. */
  readonly httpUrl: string;
  /** API token of the site. */
  readonly token: string;
  readonly mqttUrl: string;
  readonly site: string;
  /** The instant at which the scenario opens; its past lies before, and the probes go on from here in real time. */
  readonly nowMs: number;
  readonly signal: AbortSignal;
  readonly log: (line: string) => void;
  readonly probeKey?: string;
}

/**
 * Plays the scenario on a running, empty site: what its people said goes in over HTTP, what its probes measured over MQTT, and then
 * the probes report live until `signal` aborts. Throws an Error with a plain message if the site refuses an entry or a probe.
 */
export async function runDemo(options: DemoOptions): Promise<void> {
  const { nowMs, signal, log } = options;
  const startedMs = performance.now();
  const clock = clockFrom(nowMs);
  const sensors = sensorsAt(nowMs);
  let cast: Part[] = [];
  try {
    const entries = await tell(options);
    cast = await connectAll(options, sensors);
    const readings = sensors.reduce((total, { history }) => total + history.length, 0);
    log(`demo: ${entries} entries made; ${cast.length} probes deliver ${readings} readings they have kept`);
    await Promise.race([Promise.all(cast.map(catchUp)), onceAborted(signal)]);
    if (signal.aborted) return;
    const seconds = ((performance.now() - startedMs) / 1000).toFixed(1);
    log(`demo: all of it acknowledged after ${seconds} s; the probes go on live, one reading every ${LIVE_EVERY_MS / 1000} s`);
    const delayMs = (index: number) => (index / cast.length) * LIVE_EVERY_MS;
    await Promise.all(
      cast.map(({ sensor: { celsiusAt }, probe }, index) =>
        reportLive(probe, { celsiusAt, clock, delayMs: delayMs(index), everyMs: LIVE_EVERY_MS, signal }),
      ),
    );
  } catch (error) {
    if (!signal.aborted) throw error;
  } finally {
    await Promise.all(cast.map(({ probe }) => probe.end()));
  }
}

interface Part {
  readonly sensor: Sensor;
  readonly probe: Probe;
}

/** Makes the scenario's entries, in order. Returns their number. */
async function tell({ httpUrl, token, nowMs, signal }: DemoOptions): Promise<number> {
  const statements = statementsAt(nowMs);
  for (const statement of statements) {
    const answer = await fetch(new URL('/api/entries', httpUrl), {
      method: 'POST',
      headers: { authorization: `Bearer ${token}`, 'content-type': 'application/json' },
      body: JSON.stringify(statement),
      signal,
    });
    const text = await answer.text();
    if (answer.status !== 201)
      throw new Error(`the site refuses the demonstration's entry ${JSON.stringify(statement)}: ${answer.status} ${text}`);
  }
  return statements.length;
}

/** Connects every probe, or none: if one fails, the others are ended again and its reason is thrown. */
async function connectAll({ mqttUrl, site, probeKey }: DemoOptions, sensors: readonly Sensor[]): Promise<Part[]> {
  const attempts = await Promise.allSettled(
    sensors.map(async (sensor) => ({
      sensor,
      probe: await Probe.connect({ mqttUrl, site, probe: sensor.probe, baseName: sensor.baseName, probeKey }),
    })),
  );
  const cast = attempts.flatMap((attempt) => (attempt.status === 'fulfilled' ? [attempt.value] : []));
  const failed = attempts.find((attempt) => attempt.status === 'rejected');
  if (failed === undefined) return cast;
  await Promise.all(cast.map(({ probe }) => probe.end()));
  throw failed.reason;
}

/** Delivers what the probe has kept, and what it should not have sent. */
async function catchUp({ sensor, probe }: Part): Promise<void> {
  for (const sample of sensor.history) probe.record(sample);
  await probe.flush();
  // Each loose reading goes alone, as it would have gone live, so that it can be set aside alone.
  for (const sample of sensor.loose) await probe.sendRaw(encodePack(sensor.baseName, [sample]));
  for (const payload of sensor.garbled) await probe.sendRaw(payload);
}

function onceAborted(signal: AbortSignal): Promise<void> {
  return new Promise((resolve) => {
    if (signal.aborted) resolve();
    else signal.addEventListener('abort', () => resolve(), { once: true });
  });
}
