import { IANAZone } from 'luxon';
import type { Amount } from '../../../edge/cure/mix.ts';
import { HOUR_MS } from '../../../edge/cure/schedule.ts';
import { roundLimit } from '../../../web/look/round.ts';

const MINUTE_MS = 60_000;

/** `12.3 °C (54.1 °F)`. */
export function temperature(celsius: number): string {
  return `${tenths(celsius)} °C (${tenths(celsius * 1.8 + 32)} °F)`;
}

/** A limit, as a page of the service rounds it: 15.6 °C is meant as 60 °F. */
export function limit(celsius: number): string {
  return `${roundLimit(celsius, 'C')} °C (${roundLimit(celsius * 1.8 + 32, 'F')} °F)`;
}

/** A difference of temperatures, such as a guard band. */
export function difference(celsius: number): string {
  return `${hundredths(celsius)} °C (${hundredths(celsius * 1.8)} °F)`;
}

/** Hours that were earned, rounded down: what is written is never more than what is there. */
export function hoursEarned(hours: number): string {
  return `${(Math.floor(hours * 100 + 1e-9) / 100).toFixed(2)} h`;
}

/** Hours still to be earned, rounded up: never none while anything is missing. */
export function hoursMissing(hours: number): string {
  return `${(Math.ceil(hours * 100 - 1e-9) / 100).toFixed(2)} h`;
}

/** Other hours, rounded. */
export function hoursOfMs(ms: number): string {
  return `${(ms / HOUR_MS).toFixed(2)} h`;
}

/** `42 s`, `12 min`, `3 h 05 min`. */
export function span(ms: number): string {
  if (ms < MINUTE_MS) return `${Math.round(ms / 1000)} s`;
  const minutes = Math.floor(ms / MINUTE_MS);
  if (minutes < 60) return `${minutes} min`;
  return `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, '0')} min`;
}

/** Millimetres and inches. */
export function length(mm: number): string {
  return `${Math.round(mm * 1000) / 1000} mm (${(mm / 25.4).toFixed(3)} in)`;
}

/** How much resin, in the unit on its can. */
export function amount({ value, unit }: Amount): string {
  return unit === 'quart' || unit === 'gallon' ? counted(value, unit) : `${value} ${unit}`;
}

/** `1 reading`, `2 readings`. */
export function counted(count: number, noun: string): string {
  return `${count} ${noun}${count === 1 ? '' : 's'}`;
}

function tenths(value: number): string {
  // Just below zero rounds to zero, which has no sign.
  return ((Math.round(value * 10) || 0) / 10).toFixed(1);
}

function hundredths(value: number): string {
  return String((Math.round(value * 100) || 0) / 100);
}

/** Writes instants as the site's clock shows them, each with its offset: in the hour that comes twice, only that tells which it was. */
export class SiteClock {
  readonly timeZone: string;
  readonly #zone: IANAZone;

  constructor(timeZone: string) {
    this.timeZone = timeZone;
    this.#zone = IANAZone.create(timeZone);
  }

  /** Of local time before UTC, ms. */
  offsetMs(atMs: number): number {
    return this.#zone.offset(atMs) * MINUTE_MS;
  }

  /** Such as `-06:00`. */
  offset(atMs: number): string {
    return this.#zone.formatOffset(atMs, 'short');
  }

  /** `2026-01-15 08:30:00 -06:00`; an instant within a second, as that second. */
  at(instant: string | number): string {
    const atMs = typeof instant === 'number' ? instant : Date.parse(instant);
    return `${this.date(atMs)} ${this.#local(atMs).slice(11, 19)} ${this.offset(atMs)}`;
  }

  /** The same of what was reached then, and is never shown a hair before. */
  notBefore(instant: string): string {
    return this.at(Math.ceil(Date.parse(instant) / 1000) * 1000);
  }

  /** `2026-01-15`. */
  date(atMs: number): string {
    return this.#local(atMs).slice(0, 10);
  }

  /** `08:30`. */
  time(atMs: number): string {
    return this.#local(atMs).slice(11, 16);
  }

  /** From one instant to another; the day is named once where it is the same. */
  fromTo(from: string | number, to: string | number): string {
    const [one, other] = [this.at(from), this.at(to)];
    return `${one} to ${one.slice(0, 10) === other.slice(0, 10) ? other.slice(11) : other}`;
  }

  #local(atMs: number): string {
    return new Date(atMs + this.offsetMs(atMs)).toISOString();
  }
}
