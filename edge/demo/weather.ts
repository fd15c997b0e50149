import { readFileSync } from 'node:fs';
import { findPackageJSON } from 'node:module';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import { DateTime } from 'luxon';

import { noiseAt } from './noise.ts';

const HOUR_MS = 3_600_000;

/** Day of the normals that stands for "today": late winter, when a mild afternoon can cure a laminate and the night cannot. */
const TODAY = '02-20';

/** Largest departure of one hour from the normal, °C. Normals are averages of thirty years and far too smooth. */
const HOURLY_NOISE_CELSIUS = 0.6;

/** The cold front of the demonstration: how far it drops the air, and its four corners in hours from now. */
export const FRONT = { dropCelsius: 6.5, arrivesHours: -20, setInHours: -17, liftsHours: 10, goneHours: 24 } as const;

/** Air temperature at an instant (UTC ms), °C. */
export type Ambient = (atMs: number) => number;

export interface WeatherSettings {
  readonly nowMs: number;
  /** Picks one of many reproducible weathers. */
  readonly seed: number;
  /** IANA name; the hour of day that its clocks show at `nowMs` picks the hour of the normals. */
  readonly timeZone: string;
}

/** Air temperature in the shade, for a simulation: hourly normals, a cold front over them, and some unrest from hour to hour. */
export function weather({ nowMs, seed, timeZone }: WeatherSettings): Ambient {
  const rows = hourlyNormals();
  const local = DateTime.fromMillis(nowMs, { zone: timeZone });
  const todayRow = rows.findIndex(({ date }) => date.slice(5) === `${TODAY}T00:00:00`);
  const nowRow = todayRow + local.hour + local.minute / 60 + (local.second + local.millisecond / 1000) / 3600;

  const celsiusOfRow = (row: number) => {
    const wrapped = ((row % rows.length) + rows.length) % rows.length;
    return (rows[wrapped] as Normal).temperature + HOURLY_NOISE_CELSIUS * noiseAt(seed, row);
  };
  return (atMs) => {
    const hoursFromNow = (atMs - nowMs) / HOUR_MS;
    const row = Math.floor(nowRow + hoursFromNow);
    const share = nowRow + hoursFromNow - row;
    return celsiusOfRow(row) * (1 - share) + celsiusOfRow(row + 1) * share - frontCelsius(hoursFromNow);
  };
}

/** What the cold front takes off the air, °C. */
export function frontCelsius(hoursFromNow: number): number {
  const { dropCelsius, arrivesHours, setInHours, liftsHours, goneHours } = FRONT;
  return dropCelsius * (eased(hoursFromNow, arrivesHours, setInHours) - eased(hoursFromNow, liftsHours, goneHours));
}

/** 0 before `from`, 1 after `to`, a smooth S between. */
export function eased(at: number, from: number, to: number): number {
  const share = Math.min(1, Math.max(0, (at - from) / (to - from)));
  return share * share * (3 - 2 * share);
}

interface Normal {
  /** Local standard time of the station. */
  readonly date: string;
  /** °C. */
  readonly temperature: number;
}

/** Hourly normals 1981–2010 of a northern Pacific coast station (NOAA, US Government data): one mean year, hour by hour. */
export function hourlyNormals(): readonly Normal[] {
  normals ??= readNormals();
  return normals;
}

/** Read once: it takes longer than all else about the weather. */
let normals: readonly Normal[] | undefined;

function readNormals(): Normal[] {
  const manifest = findPackageJSON('vega-datasets', import.meta.url);
  if (manifest === undefined) throw new Error('the demonstration needs the package "vega-datasets"; run npm ci');
  const text = readFileSync(join(manifest, '..', 'data', 'seattle-weather-hourly-normals.csv'));
  return parse<{ date: string; temperature: string }>(text, { columns: true }).map(({ date, temperature }) => ({
    date,
    temperature: Number(temperature),
  }));
}
