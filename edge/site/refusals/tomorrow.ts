import type { Statement } from '../entries.ts';
import { msOf } from '../said/words.ts';
import { heatingAt, heatingOf } from '../state/heating.ts';
import type { SiteState } from '../state/site.ts';
import { type Context, type Faults, listed } from './context.ts';
import { activityOf } from './work.ts';

type Of<K extends Statement['kind']> = Extract<Statement, { kind: K }>;

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
/** Between two hours of a forecast at most: a night's low must not fall between them. */
const STEP_HOURS_MOST = 6;
/** A forecast begins at most so long before it is given, and at most so far ahead. */
const BEGUN_HOURS_MOST = 48;
const BEGINS_DAYS_MOST = 7;
const BOOKED_DAYS_MOST = 60;
const SNOOZED_DAYS_MOST = 7;

export function forecastFaults(faults: Faults, { nowMs }: Context, { hours }: Of<'forecast.given'>): void {
  const now = new Date(nowMs).toISOString();
  const atMs = hours.map(({ at }) => msOf(at));
  atMs.forEach((ms, index) => {
    const before = atMs[index - 1];
    if (before === undefined) return;
    const path = `hours.${index}.at`;
    if (ms === before) faults.add(path, 'is the same instant as the hour before');
    else if (ms < before) faults.add(path, 'lies before the hour before it; give the hours in rising order');
    else if (ms - before > STEP_HOURS_MOST * HOUR_MS)
      faults.add(path, `lies more than ${STEP_HOURS_MOST} h after the hour before it; a night could fall between them`);
  });
  const firstMs = Math.min(...atMs);
  if (firstMs < nowMs - BEGUN_HOURS_MOST * HOUR_MS)
    faults.add('hours.0.at', `lies more than ${BEGUN_HOURS_MOST} h back; it is ${now} here`);
  if (firstMs > nowMs + BEGINS_DAYS_MOST * DAY_MS)
    faults.add('hours.0.at', `lies more than ${BEGINS_DAYS_MOST} days ahead; it is ${now} here`);
  if (Math.max(...atMs) <= nowMs)
    faults.add(`hours.${hours.length - 1}.at`, `has passed, and so has all of it; it is ${now} here`);
}

export function bookingFaults(faults: Faults, context: Context, { sump, activity: name, due }: Of<'booking.made'>): void {
  mustBeAhead(faults, context, 'due', due, BOOKED_DAYS_MOST);
  const activity = activityOf(faults, context, sump, name);
  if (activity === undefined) return;
  if (activity.state === 'done')
    faults.add(
      'activity',
      activity.part === null ? `"${activity.label}" is done already` : `"${activity.label}" is laid up already`,
    );
}

export function cancellationFaults(faults: Faults, { site }: Context, statement: Of<'booking.cancelled'>): void {
  faults.mustKnow('sump', 'sump', site.sumps, statement.sump);
  const bookings = site.sumps.get(statement.sump)?.bookings;
  if (bookings === undefined || bookings.has(statement.activity)) return;
  faults.add('activity', `"${statement.activity}" is not booked on sump "${statement.sump}"; booked: ${listed(bookings.keys())}`);
}

export function heatingFaults(faults: Faults, { site }: Context, statement: Of<'heating.changed'>): void {
  const { sump, joint, what, on, holdCelsius, at } = statement;
  if ((sump === undefined) === (joint === undefined)) {
    faults.add('sump', 'name a joint, or a sump for all of its joints: one of the two');
    return;
  }
  if (sump !== undefined) faults.mustKnow('sump', 'sump', site.sumps, sump);
  if (on) return;
  if (holdCelsius !== undefined) faults.add('holdCelsius', 'belongs to what is put on; leave it out');
  if (isOn(site, statement)) return;
  const place = sump === undefined ? '' : ' for the whole sump; what is on a joint of its own is taken off there';
  faults.add('on', `no ${what} was on at ${at}${place}`);
}

/** Whether there is anything to take off. */
function isOn(site: SiteState, { sump, joint, what, at }: Of<'heating.changed'>): boolean {
  const place = sump === undefined ? site.joints.get(joint ?? '') : { sump, heating: [] };
  // What is not known is named by a fault of its own.
  if (place === undefined || !site.sumps.has(place.sump)) return true;
  return heatingAt(heatingOf(site, place), msOf(at)).some((span) => span.what === what);
}

export function acknowledgementFaults(faults: Faults, { site, by }: Context, statement: Of<'warning.acknowledged'>): void {
  const warning = warningOf(faults, site, statement.warning);
  if (warning === undefined) return;
  for (const [seq, entry] of warning.said) {
    if (entry.kind !== 'warning.acknowledged' || entry.by.name !== by.name || warning.withdrawals.has(seq)) continue;
    faults.add('warning', `you have acknowledged it already, ${entry.recordedAt}`);
    return;
  }
}

export function snoozeFaults(faults: Faults, context: Context, statement: Of<'warning.snoozed'>): void {
  warningOf(faults, context.site, statement.warning);
  mustBeAhead(faults, context, 'until', statement.until, SNOOZED_DAYS_MOST);
}

function warningOf(faults: Faults, { warnings }: SiteState, name: string) {
  const warning = warnings.get(name);
  if (warning === undefined) faults.add('warning', 'no such warning; it may have ended');
  return warning;
}

function mustBeAhead(faults: Faults, { nowMs }: Context, path: string, instant: string, mostDays: number): void {
  const ms = msOf(instant);
  const now = new Date(nowMs).toISOString();
  if (ms <= nowMs) faults.add(path, `has passed; it is ${now} here`);
  else if (ms > nowMs + mostDays * DAY_MS) faults.add(path, `lies more than ${mostDays} days ahead; it is ${now} here`);
}
