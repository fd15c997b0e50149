import { z } from 'zod';

/** Identifier of a site, sump, joint, probe or lot: it stands in MQTT topics and web addresses, so no blanks, slashes or wildcards. */
export const Id = z
  .string()
  .regex(
    /^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$/,
    'use letters, digits, dots, hyphens and underscores, at most 64, starting with a letter or digit',
  );

/** Text that can be written down and hashed: no half of a surrogate pair alone. */
const Written = z.string().refine((text) => text.isWellFormed(), 'has half a character in it');
export const Label = Written.trim().min(1, 'must not be empty').max(120, 'use at most 120 characters');
export const Text = Written.trim().min(1, 'must not be empty').max(2000, 'use at most 2000 characters');

/** An instant as people and machines write it: ISO 8601 with an offset. */
export const Instant = z.iso.datetime({ offset: true, error: 'use ISO 8601 with an offset, such as 2026-01-15T14:30:00-08:00' });

/** UTC milliseconds of an instant that has passed the schema. */
export function msOf(instant: string): number {
  return Date.parse(instant);
}

export const TimeZone = z.string().refine(isTimeZone, 'use an IANA time zone, such as America/Chicago');

function isTimeZone(name: string): boolean {
  try {
    new Intl.DateTimeFormat('en', { timeZone: name });
    return true;
  } catch {
    return false;
  }
}

export const Sha256 = z.string().regex(/^[0-9a-f]{64}$/);

/** What may be asked back; see `questionsOf`. */
export const QUESTION_CODES = [
  'maybe-fahrenheit',
  'maybe-celsius',
  'much-catalyst',
  'too-cold',
  'early-proof',
  'said-twice',
  'before-sump',
  'probe-elsewhere',
] as const;

/** What every statement may carry beside its own fields: the questions that its author was asked and said yes to. */
export const asked = { confirmed: z.array(z.enum(QUESTION_CODES)).max(QUESTION_CODES.length).optional() };
