import { expect, test } from 'vitest';
import { verdictOf } from '../../edge/cure/waterTest.ts';
import { lengthOf, numberOf, numbersOf } from '../../web/answer/typed.ts';
import { backTo, type Draft, draftOf, emptyDraft, isByHand, stepOf, testOf } from '../../web/answer/waterTest.ts';

const T0 = Date.UTC(2026, 0, 15, 15, 0);
const MINUTE_MS = 60_000;

const whole: Draft = {
  ...emptyDraft('in'),
  fill: '4 1/2',
  start: '24 3/16',
  end: '24 1/8',
  filledMs: T0,
  startedMs: T0 + 15 * MINUTE_MS,
  endedMs: T0 + 75 * MINUTE_MS,
};

test.each([
  ['24', 24],
  [' 24.5 ', 24.5],
  ['24,5', 24.5],
  ['24 3/16', 24.1875],
  ['24-3/16', 24.1875],
  ['3/16', 0.1875],
  ['24 3/16"', 24.1875],
  ['-1/8', -0.125],
  ['0', 0],
])('the stick says %s', (typed, length) => {
  expect(lengthOf(typed)).toBe(length);
});

test.each(['', '24 3', '3/0', 'two', '24 3/16 in', '1e3', '24..5'])('%s is no length', (typed) => {
  expect(lengthOf(typed)).toBeNull();
});

test('numbers are taken with point or comma, and one that is none spoils the list', () => {
  expect(numberOf('−3,5')).toBe(-3.5);
  expect(numberOf('.5')).toBe(0.5);
  expect(numberOf('12 mL')).toBeNull();
  expect(numbersOf('38 41,5\n40; 39,')).toEqual([38, 41.5, 40, 39]);
  expect(numbersOf('38 x')).toBeNull();
  expect(numbersOf('')).toEqual([]);
});

test('the draft goes from step to step and back, and keeps what was typed', () => {
  expect(stepOf(emptyDraft('mm'))).toBe('fill');
  expect(stepOf({ ...whole, startedMs: null, endedMs: null })).toBe('settle');
  expect(stepOf({ ...whole, endedMs: null })).toBe('hold');
  expect(stepOf(whole)).toBe('verdict');
  const again = backTo(whole, 'settle');
  expect(stepOf(again)).toBe('settle');
  expect(again).toMatchObject({ filledMs: T0, startedMs: null, endedMs: null, start: '24 3/16', end: '24 1/8' });
});

test('what was typed is judged as it was read: a sixteenth passes, an eighth fails', () => {
  const judged = (end: string) => {
    const typed = testOf({ ...whole, end });
    return typed === null ? null : verdictOf(typed);
  };
  // PEI/RP1200 §6.5.6–6.5.7: less than 1/8 in passes, 1/8 in or more fails.
  expect(judged('24 1/8')?.verdict).toBe('pass');
  expect(judged('24 1/16')?.verdict).toBe('fail');
  expect(judged('24 5/16')?.verdict).toBe('fail');
  expect(judged('')).toBeNull();
});

test('times, depth and temperatures reach the judgement', () => {
  expect(testOf({ ...whole, depth: '40', celsiusStart: 20, celsiusEnd: 15 })).toMatchObject({
    settleMinutes: 15,
    durationMinutes: 60,
    waterDepth: { value: 40, unit: 'in' },
    waterCelsiusStart: 20,
    waterCelsiusEnd: 15,
  });
  expect(isByHand({ ...whole, end: '' })).toBe(false);
});

test('a kept draft comes back as it was, and anything else is left alone', () => {
  expect(draftOf(JSON.stringify(whole))).toEqual(whole);
  expect(draftOf(JSON.stringify(emptyDraft('mm')))).toEqual(emptyDraft('mm'));
  for (const kept of [null, '', 'null', '{}', '{"method":"full-height"}', JSON.stringify({ ...whole, filledMs: 'now' })])
    expect(draftOf(kept)).toBeNull();
});
