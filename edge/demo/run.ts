import { Desk, type DeskTokens } from './desk.ts';
import { attend, Heaters } from './heaters.ts';
import { clockFrom, reportLive } from './live.ts';
import { encodePack } from './pack.ts';
import { Probe } from './probe.ts';
import { bodiesAt, type Sensor, sensorsAt } from './sensors.ts';
import { setUpAt, workAt } from './statements.ts';

/** How often each probe reports once it has caught up, ms. */
const LIVE_EVERY_MS = 5_000;

/** How often the site is asked which heaters are on, ms. */
const LOOK_EVERY_MS = 3_000;

export interface DemoOptions {
  /** Address of the running site, such as http://127.0.0.1:8080. */
  readonly httpUrl: string;
  /** Access tokens of the site. */
  readonly tokens: DeskTokens;
  readonly mqttUrl: string;
  readonly site: string;
  /** The instant at which the scenario opens; its past lies before, and the probes go on from here in real time. */
  readonly nowMs: number;
  readonly signal: AbortSignal;
  readonly log: (line: string) => void;
  readonly probeKey?: string;
}

/**
 * Plays the scenario on a running, empty site. Its people sign in and set the site up over HTTP, its probes deliver over MQTT what
 * they have kept, its people make the entries of their work, which are judged against those readings, and then the probes report
 * live until `signal` aborts; a heater that somebody records as put on or taken off meanwhile goes on or off. Throws an Error with
 * a plain message if the site refuses a person, an entry or a probe.
 */
export async function runDemo(options: DemoOptions): Promise<void> {
  const { httpUrl, tokens, nowMs, signal, log } = options;
  const startedMs = performance.now();
  const seconds = () => `${((performance.now() - startedMs) / 1000).toFixed(1)} s`;
  const clock = clockFrom(nowMs);
  const bodies = bodiesAt(nowMs);
  const sensors = sensorsAt(nowMs, bodies);
  let desk: Desk | null = null;
  let cast: Part[] = [];
  try {
    desk = await Desk.open(httpUrl, tokens, signal);
    const [setUp, work] = [setUpAt(nowMs), workAt(nowMs)];
    await desk.tell(setUp);
    cast = await connectAll(options, sensors);
    const readings = sensors.reduce((total, { history }) => total + history.length, 0);
    log(`demo: site set up with ${setUp.length} entries; ${cast.length} probes deliver ${readings} measurements they have kept`);
    await Promise.race([Promise.all(cast.map(catchUp)), onceAborted(signal)]);
    if (signal.aborted) return;
    log(`demo: all of it acknowledged after ${seconds()}; now the ${work.length} entries of the work`);
    await desk.tell(work);
    const heaters = new Heaters(bodies);
    heaters.heed(await desk.heatings(), clock());
    log(`demo: ready after ${seconds()}; the probes go on live, one reading every ${LIVE_EVERY_MS / 1000} s`);
    const delayMs = (index: number) => (index / cast.length) * LIVE_EVERY_MS;
    await Promise.all([
      ...cast.map(({ sensor: { celsiusAt, besidesAt }, probe }, index) =>
        reportLive(probe, { celsiusAt, besidesAt, clock, delayMs: delayMs(index), everyMs: LIVE_EVERY_MS, signal }),
      ),
      attend(heaters, { desk, clock, everyMs: LOOK_EVERY_MS, signal }),
    ]);
  } catch (error) {
    if (!signal.aborted) throw error;
  } finally {
    await Promise.all([...cast.map(({ probe }) => probe.end()), desk?.close()]);
  }
}

interface Part {
  readonly sensor: Sensor;
  readonly probe: Probe;
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
