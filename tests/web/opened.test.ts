import { describe, expect, test } from 'vitest';
import * as names from '../../edge/evidence/bundle.ts';
import { verifyBundle } from '../../edge/evidence/verify.ts';
import { openBundle } from '../../web/evidence/opened.ts';
import { edited, packed, payloadOf } from '../evidence/support/bundle.ts';
import { every, ms, smallYard } from '../evidence/support/yard.ts';

const payload = payloadOf(smallYard());
const opened = openBundle(packed(payload));
const [joint] = opened?.joints ?? [];

test('a bundle is read back as what its site claimed', () => {
  expect(opened).toMatchObject({ site: 'north', name: 'North yard', timeZone: 'America/Chicago', asOfMs: ms(130) });
  expect(opened?.joints).toHaveLength(1);
  expect(joint?.record).toEqual(verifyBundle(packed(payload)).record?.joints[0]);
  expect(opened?.lots).toEqual({ r1: 'Drum 1' });
});

test('its readings are those that were measured, each probe with its own line', () => {
  const read = Object.fromEntries((joint?.series ?? []).map(({ source, points }) => [source, points]));
  const measured = (of: ReadonlyMap<number, number>) => [...of].map(([minute, celsius]) => [ms(minute), celsius]);
  expect(Object.keys(read)).toEqual(['p1', 'p2']);
  expect(read.p1).toEqual([
    ...measured(every(5, -10, 55, (minute) => 12 + minute / 100)),
    ...measured(every(5, 60, 115, () => 10.2)),
  ]);
  expect(read.p2).toEqual(measured(new Map([...every(5, -8, 52, () => 11.25), ...every(5, 57, 112, () => 11.25)])));
});

test('warm hours run from nothing to what is claimed, and never back', () => {
  const hours = joint?.progress.map(([, value]) => value ?? 0) ?? [];
  expect(hours[0]).toBe(0);
  expect(hours.at(-1)).toBeCloseTo((joint?.record.creditPpmMs ?? 0) / 3.6e12, 9);
  expect(hours).toEqual(hours.toSorted((a, b) => a - b));
  expect(hours.length).toBeGreaterThan(10);
});

test('a silence breaks the line and earns nothing', () => {
  const yard = smallYard();
  yard.measure(
    'p1',
    every(5, 160, 200, () => 8.5),
  );
  const [after] = openBundle(packed(payloadOf(yard, { minute: 210 })))?.joints ?? [];
  const line = after?.series.find(({ source }) => source === 'p1')?.points ?? [];
  expect(line.filter(([, celsius]) => celsius === null)).toEqual([[ms(115) + 1, null]]);
  // Readings end at 115 min; below the floor of 9.5 °C nothing is earned from 160 min on.
  expect(after?.uncredited).toEqual([
    { fromMs: ms(115), toMs: ms(160), reason: 'unproven' },
    { fromMs: ms(160), toMs: ms(200), reason: 'cold' },
  ]);
});

describe('the entries of a joint', () => {
  test('are those that bear on it, what was taken back among them', () => {
    const kinds = joint?.entries.map(({ entry }) => entry.kind) ?? [];
    expect(kinds).toEqual(expect.arrayContaining(['joint.added', 'joint.laidUp', 'entry.withdrawn', 'joint.sealed']));
    expect(joint?.entries.map(({ entry }) => ('joint' in entry ? entry.joint : 'j1'))).not.toContain('j2');
  });
});

test('what does not hold can still be read where it can be put together', () => {
  const bytes = packed(edited(payload, names.ENTRIES, (text) => text.replace('Drum 1', 'Drum 9')));
  expect(verifyBundle(bytes).ok).toBe(false);
  expect(openBundle(bytes)?.lots).toEqual({ r1: 'Drum 9' });
});

test.each([
  ['no ZIP at all', new TextEncoder().encode('hello')],
  [
    'entries of a kind that nobody knows',
    packed(edited(payload, names.ENTRIES, (text) => text.replace('"lot.added"', '"lot.eaten"'))),
  ],
  ['blocks that are none', packed(edited(payload, names.BLOCKS, (text) => text.replace(/"block":"..../, '"block":"AAAA')))],
])('%s is not put on screen', (_, bytes) => {
  expect(openBundle(bytes)).toBeNull();
});
