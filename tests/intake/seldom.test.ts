import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { seldom } from '../../edge/intake/seldom.ts';

let said: string[];
let faults: ReturnType<typeof seldom>;
beforeEach(() => {
  vi.useFakeTimers();
  said = [];
  faults = seldom(({ message }) => said.push(message));
});
afterEach(() => {
  vi.useRealTimers();
});
const tell = (...messages: string[]) => {
  for (const message of messages) faults.tell(new Error(message));
};

test('the first fault is told at once, and one that comes alone whenever it comes', () => {
  tell('a');
  expect(said).toEqual(['a']);
  vi.advanceTimersByTime(1000);
  tell('b');
  expect(said).toEqual(['a', 'b']);
});

test('many within a second are told as one, with their number, however long they go on', () => {
  for (let tenth = 0; tenth < 30; tenth++) {
    tell(`${tenth}`, `${tenth}+`);
    vi.advanceTimersByTime(100);
  }
  expect(said).toEqual([
    '0',
    '9+ (and 18 more within a second)',
    '19+ (and 19 more within a second)',
    '29+ (and 19 more within a second)',
  ]);
  vi.advanceTimersByTime(10_000);
  expect(said).toHaveLength(4);
  tell('late');
  expect(said.at(-1)).toBe('late');
});

test('one that is held back alone is told as it is', () => {
  tell('a', 'b');
  expect(said).toEqual(['a']);
  vi.advanceTimersByTime(1000);
  expect(said).toEqual(['a', 'b']);
});

test('what is held back at the end is told, and no timer stays', () => {
  tell('a', 'b', 'c');
  faults.stop();
  expect(said).toEqual(['a', 'c (and 1 more within a second)']);
  expect(vi.getTimerCount()).toBe(0);
});
