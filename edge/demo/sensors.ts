import { hoursFrom, outdoorDewPoint, sensedHumidity, tentDewPoint } from './humidity.ts';
import type { AirLine, BatteryLine, HeatLine, LayUpLine, LevelLine, ProbeLine, Span } from './lines.ts';
import { noiseAt } from './noise.ts';
import type { Besides, Sample } from './pack.ts';
import { AIRS, SITE, STORIES, STRANGER, WEATHER_SEED } from './scenario.ts';
import { msAgo } from './statements.ts';
import { type Body, materialFrom, sensed } from './thermal.ts';
import { type Ambient, weather } from './weather.ts';

const HOUR_MS = 3_600_000;
const MINUTE_MS = 60_000;

/** A probe on a joint was taped on this long before lay-up, h. */
const TAPED_ON_HOURS = 1;

/** How slowly a bare probe follows the air about it. */
const BARE_PROBE_MS = 3 * MINUTE_MS;

/** What a one-wire sensor that has come off its wires is reported as, °C. */
export const DISCONNECTED_CELSIUS = -127;

/** Seconds between two readings of an ambient or level probe in its history. */
const SLOW_SECONDS = 60;

/** One of the scenario's sensors: what it has measured until now, and what it measures from now on. */
export interface Sensor {
  readonly probe: string;
  /** Base name of its SenML packs. */
  readonly baseName: string;
  /** Oldest first, up to now. */
  readonly history: readonly Sample[];
  /** Readings of the time when the sensor hung loose. */
  readonly loose: readonly Sample[];
  /** Payloads that no intake can take. */
  readonly garbled: readonly string[];
  /** Ask for instants in rising order, from now on. */
  readonly celsiusAt: (atMs: number) => number;
  /** Likewise, after `celsiusAt` for the same instant. */
  readonly besidesAt: (atMs: number) => Besides;
}

/** The spots on the scenario's joints that its probes are taped to, by joint: the warmest one of each. */
export function bodiesAt(nowMs: number): Map<string, Body> {
  return new Map(
    STORIES.flatMap(({ joints }) => joints.map(({ joint, heat, layUp }) => [joint, bodyOf(nowMs, heat, layUp)] as const)),
  );
}

/** All sensors of the scenario as they stand at `nowMs`. Those on a joint follow its body among `bodies`. */
export function sensorsAt(nowMs: number, bodies: ReadonlyMap<string, Body> = bodiesAt(nowMs)): Sensor[] {
  const outdoors = weather({ nowMs, seed: WEATHER_SEED, timeZone: SITE.timeZone });
  /** Each caller gets the tent's air as a walk of its own. */
  const airOf = ({ tent, hoursOfHistory }: AirLine): Ambient =>
    tent === undefined ? outdoors : materialFrom(bodyOf(nowMs, tent, null), outdoors, msAgo(nowMs, hoursOfHistory));

  const airs = AIRS.map((line, index) => airSensor(line, 50 + index, nowMs, airOf(line)));
  const onJoints = STORIES.flatMap(({ air, everySeconds, joints }) => {
    const airLine = AIRS.find(({ probe }) => probe === air) as AirLine;
    return joints.flatMap(({ joint, probes, layUp }) => probes.map((line) => ({ line, joint, layUp, airLine, everySeconds })));
  }).map(({ line, joint, layUp, airLine, everySeconds }, index) => {
    const fromMs = msAgo(nowMs, (layUp?.hoursAgo ?? 1) + TAPED_ON_HOURS);
    const warmest = materialFrom(bodies.get(joint) as Body, airOf(airLine), fromMs);
    const onMaterial = (atMs: number) => warmest(atMs) - (line.colderCelsius ?? 0);
    const trueCelsiusAt = line.offJoint === undefined ? onMaterial : offJoint(onMaterial, airOf(airLine), line.offJoint, nowMs);
    return sensor({ line, seed: index + 1, nowMs, fromMs, everySeconds, trueCelsiusAt });
  });
  const levels = STORIES.flatMap(({ level }, index) => (level === undefined ? [] : levelSensor(level, 80 + index, nowMs)));
  const stranger = sensor({
    line: STRANGER,
    seed: 99,
    nowMs,
    fromMs: msAgo(nowMs, STRANGER.hoursOfHistory),
    everySeconds: SLOW_SECONDS,
    trueCelsiusAt: () => STRANGER.celsius,
  });
  // Another maker's way to name a device: RFC 9039, with a locally administered EUI-64.
  const named = { ...stranger, baseName: 'urn:dev:mac:02005efffe0000c7:', garbled: STRANGER.garbled };
  return [...airs, ...onJoints, ...levels, named];
}

function bodyOf(nowMs: number, { heater, timeConstantHours, coverCelsius }: HeatLine, layUp: LayUpLine | null): Body {
  return {
    timeConstantMs: timeConstantHours * HOUR_MS,
    offsetCelsius: coverCelsius,
    layUp: layUp && {
      atMs: msAgo(nowMs, layUp.hoursAgo),
      celsius: layUp.celsius,
      exothermCelsius: layUp.exothermCelsius,
      exothermPeakMs: layUp.exothermPeakMinutes * MINUTE_MS,
    },
    heater: heater
      ? {
          fromMs: msAgo(nowMs, heater.hoursAgo),
          riseCelsius: heater.riseCelsius,
          holdCelsius: heater.holdCelsius,
          ...(heater.out === undefined
            ? {}
            : { out: { fromMs: msAgo(nowMs, heater.out.fromHoursAgo), toMs: msAgo(nowMs, heater.out.toHoursAgo) } }),
        }
      : null,
  };
}

/** A probe that came off the joint for a while: it then follows the air, and the joint again afterwards, as fast as it can. */
function offJoint(onMaterial: Ambient, air: Ambient, off: Span, nowMs: number): Ambient {
  const fromMs = msAgo(nowMs, off.fromHoursAgo);
  let heldMs = Number.NEGATIVE_INFINITY;
  let held = 0;
  return (atMs) => {
    const material = onMaterial(atMs);
    const target = isWithin(off, nowMs, atMs) ? air(atMs) : material;
    const left = atMs < fromMs ? 0 : Math.exp(-(atMs - heldMs) / BARE_PROBE_MS);
    held = target + (held - target) * left;
    heldMs = atMs;
    return held;
  };
}

interface SensorSettings {
  readonly line: Pick<ProbeLine, 'probe' | 'silent' | 'loose' | 'battery'>;
  readonly seed: number;
  readonly nowMs: number;
  readonly fromMs: number;
  readonly everySeconds: number;
  readonly trueCelsiusAt: Ambient;
  readonly measuredAt?: (atMs: number, trueCelsius: number) => Besides;
}

function sensor({ line, seed, nowMs, fromMs, everySeconds, trueCelsiusAt, measuredAt }: SensorSettings): Sensor {
  let trueCelsius = 0;
  const celsiusAt = (atMs: number) => {
    trueCelsius = trueCelsiusAt(atMs);
    return sensed(trueCelsius, seed, atMs);
  };
  const batteryAt = battery(line.battery, nowMs);
  const besidesAt = (atMs: number) => ({ ...measuredAt?.(atMs, trueCelsius), ...batteryAt(atMs) });

  const history: Sample[] = [];
  const loose: Sample[] = [];
  for (let atMs = fromMs; atMs < nowMs; atMs += everySeconds * 1000) {
    if (isWithin(line.silent, nowMs, atMs)) continue;
    if (isWithin(line.loose, nowMs, atMs)) loose.push({ atMs, celsius: DISCONNECTED_CELSIUS });
    else history.push({ atMs, celsius: celsiusAt(atMs), ...besidesAt(atMs) });
  }
  return { probe: line.probe, baseName: `${line.probe}:`, history, loose, garbled: [], celsiusAt, besidesAt };
}

function airSensor(line: AirLine, seed: number, nowMs: number, air: Ambient): Sensor {
  const dewPoint = line.tent === undefined ? outdoorDewPoint : tentDewPoint;
  return sensor({
    line,
    seed,
    nowMs,
    fromMs: msAgo(nowMs, line.hoursOfHistory),
    everySeconds: SLOW_SECONDS,
    trueCelsiusAt: air,
    measuredAt: (atMs, celsius) => ({
      humidityPercent: sensedHumidity(celsius, dewPoint(celsius, hoursFrom(nowMs, atMs)), seed, atMs),
    }),
  });
}

/** Largest noise of a simulated level sensor, m, and its step. */
const LEVEL_NOISE_METRES = 0.0002;
const LEVEL_STEP_METRES = 0.0001;

function levelSensor(line: LevelLine, seed: number, nowMs: number): Sensor {
  const points = line.points.map(({ hoursAgo, metres }) => ({ atMs: msAgo(nowMs, hoursAgo), metres }));
  return sensor({
    line,
    seed,
    nowMs,
    fromMs: points[0]?.atMs ?? nowMs,
    everySeconds: SLOW_SECONDS,
    trueCelsiusAt: () => line.waterCelsius,
    measuredAt: (atMs) => {
      const noisy = levelAt(points, atMs) + LEVEL_NOISE_METRES * noiseAt(seed, Math.floor(atMs / 1000));
      return { levelMetres: Number((Math.round(noisy / LEVEL_STEP_METRES) * LEVEL_STEP_METRES).toFixed(4)) };
    },
  });
}

function levelAt(points: readonly { readonly atMs: number; readonly metres: number }[], atMs: number): number {
  const next = points.findIndex((point) => point.atMs > atMs);
  const [from, to] = [points.at(next - 1), points[next]];
  if (from === undefined || to === undefined) return points.at(-1)?.metres ?? 0;
  return from.metres + ((to.metres - from.metres) * (atMs - from.atMs)) / (to.atMs - from.atMs);
}

/** Tells what is left once an hour. */
function battery(line: BatteryLine | undefined, nowMs: number): (atMs: number) => Besides {
  let toldHour: number | null = null;
  return (atMs) => {
    const hour = Math.floor(atMs / HOUR_MS);
    if (line === undefined || hour === toldHour) return {};
    toldHour = hour;
    const left = line.percent - (line.percentPerDay / 24) * hoursFrom(nowMs, atMs);
    return { batteryPercent: Math.round(Math.min(100, Math.max(0, left)) * 10) / 10 };
  };
}

function isWithin(span: Span | undefined, nowMs: number, atMs: number): boolean {
  return span !== undefined && atMs >= msAgo(nowMs, span.fromHoursAgo) && atMs < msAgo(nowMs, span.toHoursAgo);
}
