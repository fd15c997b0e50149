import { readFileSync } from 'node:fs';
import { findPackageJSON } from 'node:module';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import { noiseAt } from '../../../edge/demo/noise.ts';
import { type Ambient, eased, hourlyNormals } from '../../../edge/demo/weather.ts';
import { seedOf, uniform } from './draw.ts';

export const HOUR_MS = 3_600_000;
export const DAY_MS = 24 * HOUR_MS;

/** Largest departure of one hour from the shape of the day, °C. */
const HOURLY_NOISE_CELSIUS = 0.6;
/** Beside the fronts that the daily values have in them: one in so many days, of so many degrees up or down, for so many hours. */
const FRONT_EVERY_HOURS = 120;
const FRONT_CELSIUS = 3.5;
const FRONT_HOURS = { least: 8, most: 36, change: 3 } as const;

interface Day {
  readonly fromMs: number;
  readonly maxCelsius: number;
  readonly minCelsius: number;
  readonly isSunny: boolean;
}

/** The days 2012–2015 of a northern Pacific coast station (US Government data), as if its clocks showed UTC. */
function daysOfRecord(): Day[] {
  const manifest = findPackageJSON('vega-datasets', import.meta.url);
  if (manifest === undefined) throw new Error('the back-test needs the package "vega-datasets"; run npm ci');
  const text = readFileSync(join(manifest, '..', 'data', 'seattle-weather.csv'));
  return parse<{ date: string; temp_max: string; temp_min: string; weather: string }>(text, { columns: true }).map((row) => ({
    fromMs: Date.parse(`${row.date}T00:00Z`),
    maxCelsius: Number(row.temp_max),
    minCelsius: Number(row.temp_min),
    isSunny: row.weather === 'sun',
  }));
}

/** Normals by month, day and hour: what the hours of a day look like beside each other. */
function shapes(): (day: Day) => number[] {
  const byDate = new Map<string, number[]>();
  for (const { date, temperature } of hourlyNormals()) {
    const hours = byDate.get(date.slice(5, 10)) ?? [];
    byDate.set(date.slice(5, 10), hours);
    hours[Number(date.slice(11, 13))] = temperature;
  }
  // The file begins one hour into the year.
  for (const hours of byDate.values()) hours[0] ??= hours[1] as number;
  return ({ fromMs }) => {
    const date = new Date(fromMs).toISOString().slice(5, 10);
    return byDate.get(date === '02-29' ? '02-28' : date) as number[];
  };
}

/** A day's low or high. */
interface Knot {
  readonly hour: number;
  readonly celsius: number;
}

/**
 * Hour by hour from the first day of the record on: between a day's low and its high, and from there to the next low, the normals
 * of those hours stretched to what was really measured.
 */
function hourlyOfRecord(days: readonly Day[]): number[] {
  const shapeOf = shapes();
  const normals = days.flatMap((day) => shapeOf(day));
  const knots: Knot[] = days.flatMap((_, index) => {
    const place = (from: number, to: number, sign: number) => {
      let best = from;
      for (let hour = from; hour <= to; hour++)
        if (sign * (normals[24 * index + hour] as number) > sign * (normals[24 * index + best] as number)) best = hour;
      return 24 * index + best;
    };
    const { minCelsius, maxCelsius } = days[index] as Day;
    return [
      { hour: place(2, 10, -1), celsius: minCelsius },
      { hour: place(12, 18, 1), celsius: maxCelsius },
    ];
  });
  const hours: number[] = [];
  let next = 1;
  for (let hour = 0; hour < normals.length; hour++) {
    while (next < knots.length - 1 && (knots[next] as Knot).hour <= hour) next++;
    const [from, to] = [knots[next - 1] as Knot, knots[next] as Knot];
    const normalAt = (at: number) => normals[at] as number;
    const share = (normalAt(hour) - normalAt(from.hour)) / (normalAt(to.hour) - normalAt(from.hour));
    hours.push(from.celsius + (to.celsius - from.celsius) * Math.min(1, Math.max(0, share)));
  }
  return hours;
}

/** What the weather of a trial is. */
export interface Climate {
  readonly ambient: Ambient;
  /** How much of the sun comes through, 0 … 1. */
  readonly sunAt: Ambient;
}

/** Reads the record once; each trial then has fronts and unrest of its own over it. */
export function climates(): (trial: number) => Climate {
  const days = daysOfRecord();
  const firstMs = (days[0] as Day).fromMs;
  const hours = hourlyOfRecord(days);
  return (trial) => {
    const frontSeed = seedOf(trial, 'front');
    const airSeed = seedOf(trial, 'air');
    const front = (hour: number) => {
      let celsius = 0;
      const block = Math.floor(hour / FRONT_EVERY_HOURS);
      for (const each of [block - 1, block]) {
        const from = uniform(frontSeed, 3 * each, each, each + 1) * FRONT_EVERY_HOURS;
        const to = from + uniform(frontSeed, 3 * each + 1, FRONT_HOURS.least, FRONT_HOURS.most);
        const share = eased(hour, from, from + FRONT_HOURS.change) - eased(hour, to, to + FRONT_HOURS.change);
        celsius += share * uniform(frontSeed, 3 * each + 2, -FRONT_CELSIUS, FRONT_CELSIUS);
      }
      return celsius;
    };
    const known: number[] = [];
    const celsiusOf = (hour: number) => {
      known[hour] ??= (hours[hour] as number) + front(hour) + HOURLY_NOISE_CELSIUS * noiseAt(airSeed, hour);
      return known[hour];
    };
    return {
      ambient: (atMs) => {
        const place = (atMs - firstMs) / HOUR_MS;
        const hour = Math.floor(place);
        return celsiusOf(hour) + (celsiusOf(hour + 1) - celsiusOf(hour)) * (place - hour);
      },
      sunAt: (atMs) => {
        const day = days[Math.floor((atMs - firstMs) / DAY_MS)];
        const hour = (atMs / HOUR_MS) % 24;
        return Math.max(0, Math.sin((Math.PI * (hour - 8)) / 9)) * (hour > 8 && hour < 17 ? 1 : 0) * (day?.isSunny ? 1 : 0.25);
      },
    };
  };
}
