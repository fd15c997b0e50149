import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import { JointView } from '../../edge/site/views/joint.ts';
import { HistoryView } from '../../edge/tally/history.ts';
import { addJoint, ask, problemOf, read, say } from '../support/api.ts';
import { mqttClient, publishReadings, temperature } from '../support/probe.ts';
import { HOUR_MS, MINUTE_MS } from '../support/readings.ts';
import { startService, type TestService } from '../support/service.ts';

let service: TestService;
/** Fifteen hours ago, on a whole second. */
const layUpMs = Math.floor(Date.now() / 1000) * 1000 - 15 * HOUR_MS;
const at = (minutes: number) => layUpMs + minutes * MINUTE_MS;
const iso = (ms: number) => new Date(ms).toISOString();

/** Every ten minutes: 13 h at 12 °C, then a hole of 40 min, then half an hour of 4 °C; one reading of 25 °C in the third hour. */
const readings: [minute: number, celsius: number][] = [
  ...Array.from({ length: 79 }, (_, index): [number, number] => [index * 10, index === 15 ? 25 : 12]),
  [820, 4],
  [830, 4],
  [840, 4],
  [850, 4],
];

const history = (query = '') => read(service, `/api/joints/j1/history${query}`, HistoryView);

beforeAll(async () => {
  service = await startService();
  await say(service, { kind: 'site.described', name: 'Kestrel Yard', timeZone: 'America/Chicago' });
  await addJoint(service, { probes: ['p1', 'p2'], laidUpMs: layUpMs });
  await say(service, { kind: 'joint.assigned', joint: 'j1', probes: ['p1'], at: iso(at(5)) });
  await say(service, { kind: 'note.added', joint: 'j1', text: 'blanket on', at: iso(at(7)) });
  const client = await mqttClient(service);
  await publishReadings(
    client,
    'p1',
    readings.map(([minute, celsius]) => temperature(celsius, at(minute))),
  );
  await client.endAsync();
  await vi.waitFor(async () => expect((await read(service, '/api/joints/j1', JointView)).warmHours).toBeGreaterThan(0));
});
afterAll(() => service[Symbol.asyncDispose]());

describe('the history of a joint', () => {
  test('holds every reading when there is room for them, broken where a gap is', async () => {
    const { series, timeZone, from } = await history('?points=83');
    expect(timeZone).toBe('America/Chicago');
    expect(from).toBe(iso(layUpMs - HOUR_MS));
    expect(series.map(({ probe, role }) => [probe, role])).toEqual([
      ['p1', 'material'],
      ['p2', 'material'],
    ]);
    const points = series[0]?.points ?? [];
    const broken = points.findIndex(([, celsius]) => celsius === null);
    expect(broken).toBe(79);
    expect(points.filter(([, celsius]) => celsius !== null)).toEqual(readings.map(([minute, celsius]) => [at(minute), celsius]));
    expect(points[broken]?.[0]).toBeGreaterThan(at(780));
    expect(points[broken]?.[0]).toBeLessThan(at(820));
    expect(series[1]?.points).toEqual([]);
  });

  test('keeps its extremes and its gap when it is thinned', async () => {
    const points = (await history('?points=10')).series[0]?.points ?? [];
    expect(points.length).toBeLessThan(20);
    expect(points).toContainEqual([at(150), 25]);
    expect(Math.min(...points.flatMap(([, celsius]) => celsius ?? []))).toBe(4);
    expect(points.filter(([, celsius]) => celsius === null)).toHaveLength(1);
  });

  test('tells where nothing was credited, and why', async () => {
    const { uncredited, to } = await history();
    // The reading at the lay-up is the first, so all is proven until the hole; the cold begins with the first reading after it.
    expect(uncredited).toEqual([
      { from: at(780), to: at(820), reason: 'unproven' },
      { from: at(820), to: at(850), reason: 'cold' },
      { from: at(850), to: Date.parse(to), reason: 'unproven' },
    ]);
  });

  test('shows progress up to what the joint has, never falling', async () => {
    const { progress } = await history();
    const { warmHours } = await read(service, '/api/joints/j1', JointView);
    // 13 h at 12 °C less 0.5 °C are above the reference of 10 °C: they count in full.
    expect(warmHours).toBe(13);
    expect(progress[0]).toEqual([layUpMs, 0]);
    expect(progress.at(-1)).toEqual([at(850), 13]);
    expect(progress).toEqual([...progress].sort((a, b) => a[0] - b[0] || a[1] - b[1]));
    for (const [atMs, hours] of progress) expect(hours).toBeCloseTo(Math.min(13, (atMs - layUpMs) / HOUR_MS), 9);
    expect((await history('?points=5')).progress.at(-1)).toEqual([at(850), 13]);
  });

  test('lists what people did and which stage was reached when', async () => {
    const { events, schedule } = await history();
    expect(events.map(({ seq: _seq, withdrawn: _withdrawn, recordedAt: _recordedAt, ...event }) => event)).toEqual([
      { at: layUpMs, kind: 'laidUp', text: '', by: 'api' },
      { at: at(5), kind: 'assigned', text: 'p1', by: 'api' },
      { at: at(7), kind: 'note', text: 'blanket on', by: 'api' },
      { at: at(720), kind: 'stage', text: 'stress', by: 'p1' },
    ]);
    expect(events.map(({ seq }) => seq !== null)).toEqual([true, true, true, false]);
    expect(schedule).toMatchObject({ title: 'Polyester laminate', referenceCelsius: 10, floorCelsius: 5 });
  });

  test('keeps what was taken back, with who and why', async () => {
    const { seq } = await say(service, { kind: 'note.added', joint: 'j1', text: 'wrong joint', at: iso(at(8)) });
    await say(service, { kind: 'entry.withdrawn', seq, reason: 'meant the other one' });
    const { events } = await history();
    expect(events.find((event) => event.seq === seq)?.withdrawn).toMatchObject({ by: 'api', reason: 'meant the other one' });
    await expect(say(service, { kind: 'entry.withdrawn', seq, reason: 'again' })).rejects.toThrow(/taken back already/);
  });

  test('can be asked for in part', async () => {
    const part = await history(`?from=${iso(at(750))}&to=${iso(at(830))}`);
    expect([part.from, part.to]).toEqual([iso(at(750)), iso(at(830))]);
    const times = part.series[0]?.points.flatMap(([ms, celsius]) => (celsius === null ? [] : [ms]));
    expect(times).toEqual([750, 760, 770, 780, 820, 830].map(at));
    expect(part.uncredited).toEqual([
      { from: at(780), to: at(820), reason: 'unproven' },
      { from: at(820), to: at(830), reason: 'cold' },
    ]);
    expect(part.progress.every(([ms]) => ms >= at(750) && ms <= at(830))).toBe(true);
    // An offset says the same instant.
    const offset = iso(at(750) - 6 * HOUR_MS).replace('Z', '-06:00');
    expect((await history(`?from=${encodeURIComponent(offset)}&to=${iso(at(830))}`)).series).toEqual(part.series);
  });

  test('of a joint that is not laid up yet is the last day of its probes', async () => {
    await addJoint(service, { joint: 'j2', probes: ['p3'] });
    const view = await read(service, '/api/joints/j2/history', HistoryView);
    expect(Date.parse(view.to) - Date.parse(view.from)).toBe(24 * HOUR_MS);
    expect([view.progress, view.uncredited, view.events]).toEqual([[], [], []]);
  });

  test.each([
    ['?from=yesterday', 'from', /ISO 8601/],
    ['?to=2026-01-15T14:30:00', 'to', /ISO 8601 with an offset/],
    ['?points=1', 'points', /2/],
    ['?points=50001', 'points', /50000/],
    ['?points=many', 'points', /number/i],
    ['?from=2026-01-15T14:30:00Z&to=2026-01-15T14:30:00Z', 'to', /must be after from/],
    ['?since=2026-01-15T14:30:00Z', 'since', /no such field/],
  ])('%s is refused with its fault', async (query, path, message) => {
    const problem = await problemOf(await ask(service, `/api/joints/j1/history${query}`));
    expect(problem).toMatchObject({ code: 'bad-request', status: 400 });
    expect(problem.faults.map((fault) => fault.path)).toEqual([path]);
    expect(problem.faults[0]?.message).toMatch(message);
  });

  test.each(['', '/history'])('of a joint that nobody added is not found: /api/joints/none%s', async (leaf) => {
    expect(await problemOf(await ask(service, `/api/joints/none${leaf}`))).toMatchObject({
      code: 'not-found',
      detail: 'there is no joint "none" on this site',
    });
  });
});
