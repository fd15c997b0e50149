import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { machineClock } from '../../edge/clock/clock.ts';

const START_MS = Date.UTC(2026, 0, 15, 14, 30);
let wallMs = START_MS;
let monoMs = 500.25;

beforeEach(() => {
  wallMs = START_MS;
  monoMs = 500.25;
  vi.spyOn(Date, 'now').mockImplementation(() => wallMs);
  vi.spyOn(performance, 'now').mockImplementation(() => monoMs);
});
afterEach(() => {
  vi.restoreAllMocks();
});

describe('the machine’s clock', () => {
  test('tells whole milliseconds on both of its faces, evenly while the two agree', () => {
    const clock = machineClock(0);
    const told = Array.from({ length: 5 }, (_, index) => {
      wallMs = START_MS + index * 10 + (index % 3);
      monoMs = 500.25 + index * 10;
      return clock.now();
    });
    expect(told).toEqual([0, 10, 20, 30, 40].map((ms) => ({ wallMs: START_MS + ms, monoMs: 500 + ms })));
  });

  test('follows a wall clock that is set, forwards or backwards, while the other face runs on', () => {
    const clock = machineClock(0);
    for (const step of [3_600_000, -86_400_000]) {
      wallMs += step;
      monoMs += 1;
      expect(clock.now()).toEqual({ wallMs, monoMs: Math.floor(monoMs) });
    }
  });

  test('is trusted from the moment that the wall clock is plausible', () => {
    wallMs = 0;
    const clock = machineClock(START_MS);
    expect(clock.trusted).toBe(false);
    wallMs = START_MS;
    expect(clock.trusted).toBe(true);
    expect(clock.now().wallMs).toBe(START_MS);
  });

  test('has another boot id every time', () => {
    expect(machineClock(0).bootId).not.toBe(machineClock(0).bootId);
  });
});
