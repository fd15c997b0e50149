import { DateTime } from 'luxon';
import { describe, expect, test } from 'vitest';
import { siteTimeIn } from '../../server/evidence/siteTime.ts';

const MINUTE_MS = 60_000;
const ZONES = [
  'UTC',
  'America/Chicago',
  'America/St_Johns',
  'Europe/London',
  'Asia/Kathmandu',
  'Australia/Lord_Howe',
  'Pacific/Apia',
  'Pacific/Chatham',
];

describe.each(ZONES)('%s', (timeZone) => {
  const zone = { zone: timeZone };
  const expected = (atMs: number) => DateTime.fromMillis(atMs, zone).toFormat("yyyy-MM-dd'T'HH:mm:ss.SSSZZ");

  test('the site’s time is what the library says, around every change of its offset in ten years', () => {
    const siteTime = siteTimeIn(timeZone);
    const instants: number[] = [];
    const dayMs = 24 * 60 * MINUTE_MS;
    for (let ms = Date.UTC(2020, 0, 1); ms < Date.UTC(2030, 0, 1); ms += dayMs)
      if (DateTime.fromMillis(ms, zone).offset !== DateTime.fromMillis(ms + dayMs, zone).offset)
        for (let minute = -30; minute < 24 * 60; minute += 7) instants.push(ms + minute * MINUTE_MS + 1);
    for (let ms = Date.UTC(2026, 0, 1); ms < Date.UTC(2027, 0, 1); ms += 3 * dayMs + 12_345_678) instants.push(ms);
    expect(instants.length).toBeGreaterThan(100);
    for (const atMs of instants) expect(siteTime(atMs)).toBe(expected(atMs));
  });
});

test('the hour that comes twice has its two offsets', () => {
  const siteTime = siteTimeIn('America/Chicago');
  const first = Date.parse('2026-11-01T06:30:00Z');
  expect([siteTime(first), siteTime(first + 60 * MINUTE_MS)]).toEqual([
    '2026-11-01T01:30:00.000-05:00',
    '2026-11-01T01:30:00.000-06:00',
  ]);
});
