import { verifyText } from '../text/verifyText.ts';

const formatters = new Map<string, Intl.DateTimeFormat>();

/** `Thu, Jan 15, 2026, 14:20:05 CST` on the clock of `zone`, whatever site is watched live. */
export function momentIn(ms: number, zone: string): string {
  const known = formatters.get(zone);
  const formatter =
    known ??
    new Intl.DateTimeFormat(verifyText.locale, {
      ...{ weekday: 'short', year: 'numeric', month: 'short', day: 'numeric' },
      ...{ hour: '2-digit', minute: '2-digit', second: '2-digit', hourCycle: 'h23' },
      timeZoneName: 'short',
      timeZone: zone,
    });
  if (known === undefined) formatters.set(zone, formatter);
  return formatter.format(ms);
}

/** `Thu, Jan 15, 2026, 20:20:05 UTC`. */
export const utcMoment = (ms: number) => momentIn(ms, 'UTC');
