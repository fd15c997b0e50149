import { z } from 'zod';
import type { Entry } from '../entries.ts';
import { type Subject, toldOf } from '../state/site.ts';
import { iso } from './iso.ts';

/** One thing that was said, as a list shows it; what was taken back stays in it, struck through. */
export const RecordLine = z.strictObject({
  /** Place of the entry in the ledger. */
  seq: z.int(),
  kind: z.string(),
  /** When it is said to have happened, and when it was put on record. */
  at: z.string(),
  recordedAt: z.string(),
  by: z.string(),
  role: z.string(),
  text: z.string(),
  withdrawn: z.strictObject({ by: z.string(), at: z.string(), reason: z.string() }).nullable(),
});
export type RecordLine = z.infer<typeof RecordLine>;

/** All that was said about a subject and passes `counts`, newest first. */
export function recordOf<E extends Entry>(
  { said, withdrawals }: Subject<E>,
  counts: (entry: E) => boolean = () => true,
): RecordLine[] {
  const lines: RecordLine[] = [];
  for (const [seq, entry] of said) {
    if (!counts(entry)) continue;
    const { atMs, recordedMs, by } = toldOf(seq, entry);
    const withdrawal = withdrawals.get(seq);
    lines.push({
      seq,
      kind: entry.kind,
      at: iso(atMs),
      recordedAt: iso(recordedMs),
      by: by.name,
      role: by.role,
      text: textOf(entry),
      withdrawn:
        withdrawal === undefined ? null : { by: withdrawal.by.name, at: iso(withdrawal.atMs), reason: withdrawal.reason },
    });
  }
  return lines.reverse();
}

/** What a line says beside its kind: names, figures and people's own words, in no language. */
function textOf(entry: Entry): string {
  const words = (...parts: readonly (string | number | undefined)[]) => parts.filter((part) => part !== undefined).join(' · ');
  switch (entry.kind) {
    case 'probe.registered': {
      const { label, sensor, uncertaintyCelsius: own } = entry;
      return words(label, sensor.kind, own === undefined ? undefined : `±${own} °C`);
    }
    case 'calibration.recorded':
      return words(
        entry.calibration.reference,
        ...entry.calibration.points.map((p) => `${p.referenceCelsius}: ${p.indicatedCelsius} °C`),
      );
    case 'probe.mapped':
      return words(entry.topic, ...entry.fields.map(({ pointer, quantity, unit }) => `${pointer} ${quantity} ${unit}`));
    case 'readings.imported':
      return words(entry.file, entry.rows);
    case 'hold.signed':
      return words(entry.hold, entry.note);
    case 'activity.started':
      return words(entry.activity, entry.reason);
    case 'activity.done':
      return entry.activity;
    case 'hydrotest.recorded':
      return words(entry.method, entry.note);
    case 'rain.noted':
      return words(entry.until === undefined ? undefined : `– ${entry.until}`, entry.note);
    case 'finding.decided':
      return words(entry.decision, entry.reason);
    case 'forecast.given':
      return words(entry.source, `– ${entry.hours.at(-1)?.at}`);
    case 'booking.made':
      return words(entry.activity, entry.due, entry.note);
    case 'booking.cancelled':
      return words(entry.activity, entry.note);
    case 'heating.changed': {
      const { what, on, holdCelsius, note } = entry;
      return words(what, on ? 'on' : 'off', holdCelsius === undefined ? undefined : `${holdCelsius} °C`, note);
    }
    case 'warning.acknowledged':
      return words(entry.warning, entry.note);
    case 'warning.snoozed':
      return words(entry.warning, `– ${entry.until}`);
    case 'note.added':
      return entry.text;
    default:
      return '';
  }
}
