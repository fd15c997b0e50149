import { setTimeout as sleep } from 'node:timers/promises';

import { describe, expect, it, vi } from 'vitest';

import { Desk } from '../../edge/demo/desk.ts';
import { attend, Heaters, type HeatingShown } from '../../edge/demo/heaters.ts';
import { rosa } from '../../edge/demo/people.ts';
import { bodiesAt } from '../../edge/demo/sensors.ts';
import { setUpAt } from '../../edge/demo/statements.ts';
import { type Body, materialFrom } from '../../edge/demo/thermal.ts';
import { startService } from '../support/service.ts';

const HOUR_MS = 3_600_000;
const nowMs = Date.parse('2026-01-15T14:30:00-08:00');

const about = { since: '', by: 'Rosa', sump: false };
const on = (
  joint: string,
  seq: number,
  holdCelsius: number | null = null,
  what: 'heater' | 'cover' = 'heater',
): HeatingShown => ({
  joint,
  heating: { ...about, seq, what, holdCelsius },
});
const off = (joint: string): HeatingShown => ({ joint, heating: null });

function bodies(): Map<string, Body> {
  const bare: Body = { timeConstantMs: 2 * HOUR_MS, offsetCelsius: 3, layUp: null, heater: null };
  return new Map([
    ['cold', { ...bare }],
    ['warm', { ...bare, heater: { fromMs: -9, riseCelsius: 14, holdCelsius: 15 } }],
  ]);
}

describe('simulated heaters', () => {
  it('stay as they are for what is on record when the demonstration opens, whatever is said of joints that it does not have', () => {
    const [spots, before] = [bodies(), bodies()];
    const heaters = new Heaters(spots);
    for (const atMs of [0, 10]) heaters.heed([on('cold', 4), on('warm', 5, 15), on('elsewhere', 6)], atMs);
    heaters.heed([on('cold', 4), on('warm', 5, 15), off('elsewhere')], 20);
    expect(spots).toEqual(before);
  });

  it('come on, change their setting and go off with what is said', () => {
    const spots = bodies();
    const heaters = new Heaters(spots);
    const heater = (joint: string) => spots.get(joint)?.heater;
    heaters.heed([off('cold'), on('warm', 5, 15)], 0);
    heaters.heed([on('cold', 7, 16), on('warm', 5, 15)], 100);
    expect(heater('cold')).toEqual({ fromMs: 100, riseCelsius: 16, holdCelsius: 16 });
    expect(heater('warm')).toEqual({ fromMs: -9, riseCelsius: 14, holdCelsius: 15 });
    heaters.heed([on('cold', 8), off('warm')], 200);
    expect(heater('cold')).toEqual({ fromMs: 200, riseCelsius: 16, holdCelsius: 18 });
    expect(heater('warm')).toBeNull();
    heaters.heed([off('cold'), on('warm', 9, 12)], 300);
    expect(heater('cold')).toBeNull();
    expect(heater('warm')).toEqual({ fromMs: 300, riseCelsius: 16, holdCelsius: 12 });
  });

  it('are not what a cover is', () => {
    const spots = bodies();
    const heaters = new Heaters(spots);
    heaters.heed([off('cold'), on('warm', 5)], 0);
    heaters.heed([on('cold', 6, null, 'cover'), on('warm', 7, null, 'cover')], 1);
    expect(spots.get('cold')?.heater).toBeNull();
    // Its heater went off, and the cover that is left is no heater.
    expect(spots.get('warm')?.heater).toBeNull();
  });
});

describe('looking after them', () => {
  it('signs in again where the session has ended', async () => {
    await using service = await startService();
    const desk = await Desk.open(service.httpUrl, service.roleTokens, new AbortController().signal);
    await desk.close();
    expect(await desk.heatings()).toEqual([]);
    await desk.close();
  });

  it('asks a site again that did not answer, until the end', async () => {
    const spots = bodies();
    const answers = [[off('cold')], null, null, [on('cold', 3)]];
    const stopping = new AbortController();
    let asked = 0;
    const heatings = async () => {
      const answer = answers[Math.min(asked++, answers.length - 1)];
      if (answer == null) throw new TypeError('fetch failed');
      return answer;
    };
    const done = attend(new Heaters(spots), { desk: { heatings }, clock: () => 50, everyMs: 5, signal: stopping.signal });
    await vi.waitFor(() => expect(spots.get('cold')?.heater?.fromMs).toBe(50));
    stopping.abort();
    await done;
    const then = asked;
    await sleep(30);
    expect(asked).toBe(then);
  });

  it('warms a joint of a real site on which somebody records a heater over HTTP, and no other', async () => {
    await using service = await startService();
    const stopping = new AbortController();
    const desk = await Desk.open(service.httpUrl, service.roleTokens, stopping.signal);
    await desk.tell(setUpAt(nowMs));
    const spots = bodiesAt(nowMs);
    const heaters = new Heaters(spots);
    heaters.heed(await desk.heatings(), nowMs);
    const done = attend(heaters, { desk, clock: () => nowMs, everyMs: 20, signal: stopping.signal });

    const heated = { kind: 'heating.changed', what: 'heater', on: true, at: new Date().toISOString() } as const;
    await desk.tell([{ by: rosa, said: { ...heated, joint: 'm-boot', holdCelsius: 17 } }]);
    await vi.waitFor(() => expect(spots.get('m-boot')?.heater).not.toBeNull(), { timeout: 5_000 });
    stopping.abort();
    await done;
    await desk.close();

    const celsiusAfter = (body: Body | undefined, hours: number) =>
      materialFrom(body ?? expect.fail(), () => -1, nowMs - HOUR_MS)(nowMs + hours * HOUR_MS);
    const untouched = bodiesAt(nowMs);
    for (const hours of [1, 4, 12]) {
      const [with_, without] = [celsiusAfter(spots.get('m-boot'), hours), celsiusAfter(untouched.get('m-boot'), hours)];
      expect(with_ - without).toBeGreaterThan(14 * (1 - Math.exp(-hours / 2.5)));
    }
    for (const [joint, body] of untouched) if (joint !== 'm-boot') expect(spots.get(joint), joint).toEqual(body);
  });
});
