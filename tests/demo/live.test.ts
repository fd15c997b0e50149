import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';

import { clockFrom } from '../../edge/demo/live.ts';

describe('clockFrom', () => {
  beforeEach(() => {
    vi.useFakeTimers({ toFake: ['Date'] });
    vi.setSystemTime(Date.parse('2026-01-15T12:00:00Z'));
  });
  afterEach(() => {
    vi.useRealTimers();
  });

  it('starts at the given instant and runs on with the wall clock', () => {
    const clock = clockFrom(1_000_000);
    expect(clock()).toBe(1_000_000);
    vi.setSystemTime(Date.parse('2026-01-15T12:00:05Z'));
    expect(clock()).toBe(1_005_000);
  });

  it('never answers the same or an earlier instant, whatever the wall clock does', () => {
    const clock = clockFrom(1_000_000);
    clock();
    expect(clock()).toBe(1_000_001);
    vi.setSystemTime(Date.parse('2026-01-15T11:00:00Z'));
    expect(clock()).toBe(1_000_002);
    vi.setSystemTime(Date.parse('2026-01-15T12:00:10Z'));
    expect(clock()).toBe(1_010_000);
  });
});
