import { z } from 'zod';

const WithOffset = z.union([z.iso.datetime({ offset: true }), z.iso.datetime({ offset: true, precision: -1 })]);
const WithoutOffset = z.iso.datetime({ local: true });

/** UTC milliseconds of an ISO 8601 time with offset, or the reason why it is none. A blank may stand for the T. */
export function instantOf(text: string): { readonly ms: number } | { readonly reason: string } {
  const written = text.replace(/^(\d{4}-\d\d-\d\d) (?=\d)/, '$1T');
  if (WithOffset.safeParse(written).success) return { ms: Date.parse(written) };
  if (WithoutOffset.safeParse(written).success || WithOffset.safeParse(`${written}Z`).success)
    return { reason: `time "${text}" has no offset; write it as in 2026-01-15T14:30:00-08:00, or with Z for UTC` };
  return { reason: `time "${text}" is not ISO 8601 with an offset, such as 2026-01-15T14:30:00-08:00` };
}
