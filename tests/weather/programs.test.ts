import { beforeEach, describe, expect, test } from 'vitest';
import { CodedError } from '../../edge/errors.ts';
import { Entry } from '../../edge/site/entries.ts';
import { applyEntry } from '../../edge/site/state/apply.ts';
import { emptySite, type SiteState } from '../../edge/site/state/site.ts';
import type { ForecastHours } from '../../edge/weather/hours.ts';
import { ForecastPrograms } from '../../edge/weather/programs.ts';
import { HandClock } from '../support/clock.ts';

const START_MS = Date.parse('2026-01-15T18:00:00Z');
const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;

let state: SiteState;
let clock: HandClock;
let programs: ForecastPrograms;
/** What the next forecasts are refused with. */
let refusals: Error[];
let celsius: number;
beforeEach(() => {
  state = emptySite();
  clock = new HandClock(START_MS);
  refusals = [];
  celsius = -40;
  programs = started();
});

const started = () =>
  new ForecastPrograms({
    state,
    earlier: state.forecasts,
    nowMs: () => clock.now().wallMs,
    monoMs: () => clock.now().monoMs,
    say: async (hours, source, speaker) => {
      const refusal = refusals.pop();
      if (refusal !== undefined) throw refusal;
      const said = { kind: 'forecast.given', hours, source, by: { name: speaker, role: 'system' } };
      const recordedAt = new Date(clock.now().wallMs).toISOString();
      applyEntry(state, Entry.parse({ ...said, recordedAt }), (state.forecasts.at(-1)?.seq ?? 0) + 1);
    },
  });

const hours = (first: number): ForecastHours =>
  [0, 1, 2].map((hour) => ({ at: new Date(START_MS + hour * HOUR_MS).toISOString(), celsius: first }));
/** Another forecast than all before it; resolves to what became of it, or to the code of its refusal. */
const another = (speaker: string) => {
  celsius += 0.125;
  return given(celsius, speaker);
};
const given = (first: number, speaker: string) =>
  programs.take(hours(first), 'x', speaker).catch((fault: unknown) => {
    if (fault instanceof CodedError) return fault.code;
    throw fault;
  });

describe('a program that speaks of the weather', () => {
  test('is taken once in ten minutes; of those that come sooner the first is told why, the rest are left out', async () => {
    expect(await another('mqtt a')).toBe('taken');
    clock.advance(10 * MINUTE_MS - 1);
    expect([await another('mqtt a'), await another('mqtt a'), await another('mqtt a')]).toEqual([
      'too-many',
      'leftOut',
      'leftOut',
    ]);
    clock.advance(1);
    expect([await another('mqtt a'), await another('mqtt a'), await another('mqtt a')]).toEqual(['taken', 'too-many', 'leftOut']);
    expect(state.forecasts).toHaveLength(2);
  });

  test('holds up no other one', async () => {
    expect([await another('mqtt a'), await another('mqtt b'), await another('mqtt a')]).toEqual(['taken', 'taken', 'too-many']);
  });

  test('may repeat itself as often as it likes', async () => {
    const became = [];
    for (let round = 0; round < 5; round++) became.push(await given(5, 'mqtt a'));
    expect(became).toEqual(['taken', 'known', 'known', 'known', 'known']);
  });

  test('says its next one while the first is on its way to the record', async () => {
    expect(await Promise.all([another('mqtt a'), another('mqtt a')])).toEqual(['taken', 'too-many']);
  });

  test('is not counted for what was refused, and hears why', async () => {
    refusals.push(new CodedError('entry-refused', 'has passed'), new CodedError('clock-not-set', 'set the clock'));
    expect([await another('mqtt a'), await another('mqtt a'), await another('mqtt a')]).toEqual([
      'clock-not-set',
      'entry-refused',
      'taken',
    ]);
  });

  test('is bounded over a restart too, and by no step of the wall clock', async () => {
    await another('mqtt a');
    clock.advance(9 * MINUTE_MS);
    programs = started();
    expect(await another('mqtt a')).toBe('too-many');
    clock.setBy(300 * 24 * HOUR_MS);
    expect(await another('mqtt a')).toBe('leftOut');
    clock.advance(MINUTE_MS);
    expect(await another('mqtt a')).toBe('taken');
    clock.setBy(-300 * 24 * HOUR_MS);
    programs = started();
    expect(await another('mqtt a')).toBe('taken');
  });

  test('shares 200 a day with all others, whatever names they take', async () => {
    const became = new Map<string, number>();
    for (let index = 0; index < 300; index++) {
      const outcome = await another(`mqtt ${index}`);
      became.set(outcome, (became.get(outcome) ?? 0) + 1);
      clock.advance(1000);
    }
    expect([...became]).toEqual([
      ['taken', 200],
      ['too-many', 1],
      ['leftOut', 99],
    ]);
    clock.advance(24 * HOUR_MS - 300_000 - 1);
    expect(await another('mqtt late')).toBe('leftOut');
    clock.advance(1);
    expect([await another('mqtt late'), await another('mqtt later')]).toEqual(['taken', 'too-many']);
  });
});
