import { IANAZone } from 'luxon';

/** Offsets are looked up for so long at once: looking up each takes ten times as long as all else about a reading. */
const SPAN_MS = 3_600_000;
const MINUTE_MS = 60_000;

interface Offset {
  readonly ms: number;
  /** Such as `-06:00`. */
  readonly text: string;
}

/**
 * Writes instants (UTC ms) in the site's time zone, ISO 8601 with milliseconds and offset: `2026-01-15T08:30:00.250-06:00`. At the
 * end of summer time an hour comes twice, and the offset tells one from the other.
 */
export function siteTimeIn(timeZone: string): (atMs: number) => string {
  const zone = IANAZone.create(timeZone);
  const offsetAt = (atMs: number): Offset => ({
    ms: zone.offset(atMs) * MINUTE_MS,
    text: zone.formatOffset(atMs, 'short'),
  });
  let span = Number.NaN;
  /** That of the whole span; null where it changes within. */
  let known: Offset | null = null;
  return (atMs) => {
    const own = Math.floor(atMs / SPAN_MS);
    if (own !== span) {
      span = own;
      const first = offsetAt(own * SPAN_MS);
      known = first.ms === offsetAt((own + 1) * SPAN_MS - 1).ms ? first : null;
    }
    const { ms, text } = known ?? offsetAt(atMs);
    return `${new Date(atMs + ms).toISOString().slice(0, -1)}${text}`;
  };
}
