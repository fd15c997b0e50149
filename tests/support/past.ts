import type { MqttClient } from 'mqtt';
import { publishReadings } from './probe.ts';

export const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
/** Records of one message. */
const RECORDS = 200;

/** What a probe measured, by the hour, counted from now and so below 0. Null: it said nothing then. */
export type Course = (hour: number) => number | null;

export interface Buffered {
  readonly quantity: 'temperature' | 'humidity' | 'resistance' | 'level' | 'battery';
  readonly unit: 'Cel' | '%RH' | 'Ohm' | 'm' | '%EL';
  readonly course: Course;
}

/** Hands in what a probe buffered from `fromHour` to `toHour`, one reading of each quantity every five minutes. */
export async function publishPast(
  client: MqttClient,
  probe: string,
  buffered: readonly Buffered[],
  nowMs: number,
  fromHour: number,
  toHour: number,
): Promise<void> {
  const records: object[] = [];
  for (let ms = nowMs + fromHour * HOUR_MS; ms <= nowMs + toHour * HOUR_MS; ms += 5 * MINUTE_MS)
    for (const { quantity, unit, course } of buffered) {
      const v = course((ms - nowMs) / HOUR_MS);
      if (v !== null) records.push({ n: quantity, u: unit, v, t: ms / 1000 });
    }
  for (let first = 0; first < records.length; first += RECORDS)
    await publishReadings(client, probe, records.slice(first, first + RECORDS));
}

/** A mild day, never quite still. */
export const mild: Course = (hour) => 16 + 1.5 * Math.sin(hour / 3);
export const degrees = (course: Course): Buffered => ({ quantity: 'temperature', unit: 'Cel', course });
