import type { Sample } from './pack.ts';
import { AIR, type HeatLine, JOINTS, type LayUpLine, type ProbeLine, SITE, STRANGER } from './scenario.ts';
import { msAgo } from './statements.ts';
import { type Body, materialFrom, sensed } from './thermal.ts';
import { weather } from './weather.ts';

const HOUR_MS = 3_600_000;
const MINUTE_MS = 60_000;

/** Two readings a minute: well inside the gap limit, and twice what a probe in the field needs. */
export const HISTORY_EVERY_MS = 30_000;

/** A probe on a joint was taped on this long before lay-up, h. */
const TAPED_ON_HOURS = 1;

/** What a one-wire sensor that has come off its wires is reported as, °C. */
export const DISCONNECTED_CELSIUS = -127;

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
}

/** All sensors of the scenario as they stand at `nowMs`. */
export function sensorsAt(nowMs: number): Sensor[] {
  const ambient = weather({ nowMs, seed: 1, timeZone: SITE.timeZone });
  const onJoints = JOINTS.flatMap(({ probes, heat, layUp }) => probes.map((line) => ({ line, heat, layUp })));
  return [
    sensor({ probe: AIR.probe, label: AIR.label }, 0, nowMs, msAgo(nowMs, AIR.hoursOfHistory), ambient),
    ...onJoints.map(({ line, heat, layUp }, index) => {
      const fromMs = msAgo(nowMs, (layUp?.hoursAgo ?? 1) + TAPED_ON_HOURS);
      return sensor(line, index + 1, nowMs, fromMs, materialFrom(bodyOf(nowMs, line, heat, layUp), ambient, fromMs));
    }),
    {
      ...sensor({ probe: STRANGER.probe, label: '' }, 99, nowMs, msAgo(nowMs, STRANGER.hoursOfHistory), () => STRANGER.celsius),
      // Another maker's way to name a device: RFC 9039, with a locally administered EUI-64.
      baseName: 'urn:dev:mac:02005efffe0000c7:',
      garbled: STRANGER.garbled,
    },
  ];
}

function bodyOf(nowMs: number, line: ProbeLine, heat: HeatLine, layUp: LayUpLine | null): Body {
  const colder = line.colderCelsius ?? 0;
  const { heater } = heat;
  return {
    timeConstantMs: heat.timeConstantHours * HOUR_MS,
    offsetCelsius: heat.coverCelsius - colder,
    layUp: layUp && {
      atMs: msAgo(nowMs, layUp.hoursAgo),
      celsius: layUp.celsius - colder,
      exothermCelsius: layUp.exothermCelsius,
      exothermPeakMs: layUp.exothermPeakMinutes * MINUTE_MS,
    },
    heater: heater
      ? { fromMs: msAgo(nowMs, heater.hoursAgo), riseCelsius: heater.riseCelsius, holdCelsius: heater.holdCelsius - colder }
      : null,
  };
}

function sensor(line: ProbeLine, seed: number, nowMs: number, fromMs: number, trueCelsiusAt: (atMs: number) => number): Sensor {
  const celsiusAt = (atMs: number) => sensed(trueCelsiusAt(atMs), seed, atMs);
  const within = (span: { fromHoursAgo: number; toHoursAgo: number } | undefined, atMs: number) =>
    span !== undefined && atMs >= msAgo(nowMs, span.fromHoursAgo) && atMs < msAgo(nowMs, span.toHoursAgo);

  const history: Sample[] = [];
  const loose: Sample[] = [];
  for (let atMs = fromMs; atMs < nowMs; atMs += HISTORY_EVERY_MS) {
    if (within(line.silent, atMs)) continue;
    if (within(line.loose, atMs)) loose.push({ atMs, celsius: DISCONNECTED_CELSIUS });
    else history.push({ atMs, celsius: celsiusAt(atMs) });
  }
  return { probe: line.probe, baseName: `${line.probe}:`, history, loose, garbled: [], celsiusAt };
}
