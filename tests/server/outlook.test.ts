import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import { chanceBy, together } from '../../edge/cure/outlook/booking.ts';
import { project } from '../../edge/cure/outlook/project.ts';
import { JointView } from '../../edge/site/views/joint.ts';
import { ProjectionView } from '../../edge/site/views/outlook.ts';
import { SiteView } from '../../edge/site/views/site.ts';
import { PlanAnswer, SumpOutlook } from '../../edge/tally/ahead/plan.ts';
import { WeatherView } from '../../server/routes/forecast.ts';
import { ask, problemOf, read, say } from '../support/api.ts';
import { degrees, publishPast } from '../support/past.ts';
import { mqttClient } from '../support/probe.ts';
import { HOUR_MS } from '../support/readings.ts';
import { startService, type TestService } from '../support/service.ts';

let service: TestService;
const nowMs = Math.floor(Date.now() / 1000) * 1000;
const at = (hours: number) => new Date(nowMs + hours * HOUR_MS).toISOString();
const breathing = (celsius: number) => (hour: number) => celsius + 0.1 * Math.sin(5 * hour);
const post = (path: string, body: string, type: string) =>
  fetch(`${service.httpUrl}${path}`, {
    method: 'POST',
    headers: { authorization: `Bearer ${service.token}`, 'content-type': type },
    body,
  });
const plan = async (body: object) => {
  const response = await ask(service, '/api/plan', { method: 'POST', body: { sump: 's1', activity: 'water-test', ...body } });
  expect(response.status).toBe(200);
  return PlanAnswer.parse(await response.json());
};
const weather = () => read(service, '/api/forecast', WeatherView);

beforeAll(async () => {
  service = await startService();
  await say(service, { kind: 'site.described', name: 'Kestrel Yard', timeZone: 'America/Chicago' });
  await say(service, { kind: 'probe.registered', probe: 'p1', role: 'material', uncertaintyCelsius: 0.5 });
  await say(service, { kind: 'probe.registered', probe: 'a1', role: 'ambient' });
  await say(service, { kind: 'sump.added', sump: 's1', label: 'North' });
  await say(service, {
    kind: 'joint.added',
    joint: 'j1',
    sump: 's1',
    label: 'Upper laminate',
    schedule: 'polyester-laminate',
    probes: ['p1'],
    ambient: 'a1',
  });
  await say(service, { kind: 'joint.laidUp', joint: 'j1', at: at(-4) });
  const client = await mqttClient(service);
  await publishPast(client, 'a1', [degrees(breathing(3))], nowMs, -30, 0);
  await publishPast(client, 'p1', [degrees(breathing(9))], nowMs, -4, 0);
  await client.endAsync();
  await vi.waitFor(async () => expect((await read(service, '/api/joints/j1', JointView)).warmHours).toBeGreaterThan(1));
  // What came late is looked at again after two seconds.
  await vi.waitFor(
    async () => {
      const { basis } = await read(service, '/api/joints/j1/projection', ProjectionView);
      expect(basis?.lag.fittedHours ?? 0).toBe(0);
      expect(basis?.air).toBe('persistence');
      const known = (await weather()).measured.filter(([, celsius]) => celsius !== null);
      expect(known.length).toBeGreaterThan(170);
    },
    { timeout: 15_000, interval: 200 },
  );
}, 30_000);
afterAll(() => service[Symbol.asyncDispose]());

describe('what lies ahead, over HTTP', () => {
  test('a joint’s projection names its stages, its basis and a band', async () => {
    const projection = await read(service, `/api/joints/j1/projection?until=${at(12)}`, ProjectionView);
    expect(projection.basis).toMatchObject({ air: 'persistence', forecast: null, heat: null });
    expect(projection.stages.map(({ stage }) => stage)).toEqual(['stress', 'hydro']);
    for (const { earliest, likely, latest, reason } of projection.stages) {
      if (reason !== null) continue;
      expect(Date.parse(earliest ?? '')).toBeLessThanOrEqual(Date.parse(likely ?? ''));
      expect(Date.parse(likely ?? '')).toBeLessThanOrEqual(Date.parse(latest ?? ''));
    }
    expect(projection.band.length).toBeGreaterThanOrEqual(11);
    expect(projection.band.length).toBeLessThanOrEqual(12);
    const joint = await read(service, '/api/joints/j1', JointView);
    expect(joint.projected?.stages).toEqual(projection.stages);
  });

  test('what the browser works out from a sump’s outlook is what the service says', async () => {
    await say(service, { kind: 'booking.made', sump: 's1', activity: 'water-test', due: at(40) });
    const outlook = await read(service, '/api/sumps/s1/outlook', SumpOutlook);
    expect(outlook.activities).toContainEqual({
      activity: 'water-test',
      label: expect.any(String),
      needs: [{ joint: 'j1', stage: 'hydro' }],
    });
    const [{ input } = { input: null }] = outlook.joints;
    if (input === null) throw new Error('no input');
    const change = { hold: { fromMs: input.nowMs, milliC: 9_500 } };
    const { stages } = project(input, { change });
    const membersMs = together([{ joint: 'j1', membersMs: stages[1]?.membersMs ?? [] }]);
    const answer = await plan({ due: at(28), change: { hold: { from: new Date(input.nowMs).toISOString(), celsius: 9.5 } } });
    expect(answer.chance).toBe(chanceBy(membersMs, Date.parse(at(28))));
    const without = await plan({ due: at(40) });
    const { bookings } = (await read(service, '/api/site', SiteView)).sumps[0] ?? {};
    expect(bookings).toMatchObject([{ activity: 'water-test', chance: without.chance, decidedBy: 'j1' }]);
  });

  test('what would help is exact: a tenth of a degree less, or a quarter of an hour later, and it does not', async () => {
    const due = at(26);
    const { chance, advice } = await plan({ due });
    expect(chance).toBeLessThan(0.5);
    const { hold, heatBy } = advice;
    if (hold === null || heatBy === null) throw new Error('nothing would help');
    const held = (celsius: number) => plan({ due, change: { hold: { celsius } } });
    expect((await held(hold.celsius)).chance).toBeGreaterThanOrEqual(0.9);
    expect((await held(hold.celsius - 0.1)).chance).toBeLessThan(0.9);
    const heated = (fromMs: number) =>
      plan({ due, change: { heat: { from: new Date(fromMs).toISOString(), celsius: heatBy.celsius } } });
    expect((await heated(Date.parse(heatBy.from))).chance).toBeGreaterThanOrEqual(0.9);
    expect((await heated(Date.parse(heatBy.from) + 15 * 60_000)).chance).toBeLessThan(0.9);
  });

  test('lay-ups that may come are in the sump’s outlook, each with its material’s range and doses', async () => {
    const { plans } = await read(service, '/api/sumps/s1/outlook', SumpOutlook);
    expect(plans.map(({ schedule }) => schedule)).toContain('epoxy-pour');
    expect(plans.find(({ schedule }) => schedule === 'polyester-laminate')).toMatchObject({
      part: null,
      use: { minCelsius: expect.any(Number) },
      mix: { source: expect.stringContaining('common practice') },
    });
  });

  test('a question about what is not there, or is none, gets a plain answer', async () => {
    for (const path of ['/api/joints/none/projection', '/api/sumps/none/outlook'])
      expect(await problemOf(await ask(service, path))).toMatchObject({ code: 'not-found' });
    const wrong = async (body: object) => problemOf(await ask(service, '/api/plan', { method: 'POST', body }));
    expect(await wrong({ sump: 's1', activity: 'none', due: at(5) })).toMatchObject({ code: 'not-found' });
    expect(await wrong({ sump: 's1', activity: 'water-test', due: 'Thursday' })).toMatchObject({ status: 400 });
    for (const hours of [-1, 200])
      expect(await wrong({ sump: 's1', activity: 'water-test', due: at(hours) })).toMatchObject({
        code: 'bad-request',
        faults: [{ path: 'due' }],
      });
    expect(await wrong({ sump: 's1', activity: 'water-test', due: at(5), change: { hold: { celsius: 600 } } })).toMatchObject({
      status: 400,
    });
    expect(await problemOf(await ask(service, '/api/joints/j1/projection?until=tomorrow'))).toMatchObject({ status: 400 });
  });
});

describe('the air to come', () => {
  test('without a forecast the last day repeats, with the documented error', async () => {
    const { forecast, air, probe, measured, errorCelsius, fetch: fetching } = await weather();
    expect({ forecast, probe, fetching }).toEqual({ forecast: null, probe: 'a1', fetching: null });
    expect(air?.from).toBe('persistence');
    expect(measured.filter(([, celsius]) => celsius !== null).length).toBeGreaterThan(170);
    const errors = errorCelsius.map(({ celsius }) => celsius);
    expect(errors).toEqual([...errors].sort((a, b) => a - b));
  });

  test('a CSV file is taken, with the lines that were not named', async () => {
    const rows = ['time,fahrenheit', `${at(0)},41`, `${at(1)},cold`, `${at(2)},43`, `${at(5)},50`];
    const response = await post('/api/forecast?name=radio.csv', rows.join('\n'), 'text/csv');
    expect(response.status).toBe(201);
    expect(await response.json()).toMatchObject({ hours: 3, rejectedTotal: 1, rejected: [{ line: 3 }] });
    const { forecast, air } = await weather();
    expect(forecast?.source).toBe('radio.csv');
    expect(forecast?.hours.map(({ celsius }) => celsius)).toEqual([5, expect.closeTo(6.11, 1), 10]);
    expect(air?.from).toBe('forecast');
  });

  test('a JSON document is taken under the source that it names', async () => {
    const hours = [0, 3, 6, 9].map((hour) => ({ at: at(hour), celsius: 4 + hour, humidity: 80 }));
    const response = await post('/api/forecast', JSON.stringify({ hours, source: 'weather desk' }), 'application/json');
    expect(response.status).toBe(201);
    expect((await weather()).forecast).toMatchObject({ source: 'weather desk' });
    expect((await read(service, '/api/site', SiteView)).forecast).toMatchObject({ source: 'weather desk' });
  });

  test('what is more likely a slip is asked about, and taken once that is confirmed', async () => {
    const hours = [0, 1, 2].map((hour) => ({ at: at(hour), celsius: 48 }));
    const body = JSON.stringify({ hours, source: 'desert desk' });
    const asked = await problemOf(await post('/api/forecast', body, 'application/json'));
    expect(asked).toMatchObject({ code: 'entry-questioned', faults: [{ confirm: 'maybe-fahrenheit' }] });
    const taken = await post('/api/forecast?confirmed=maybe-fahrenheit', body, 'application/json');
    expect(taken.status).toBe(201);
    const { seq } = (await taken.json()) as { seq: number };
    await say(service, { kind: 'entry.withdrawn', seq, reason: 'not here' });
  });

  test('what cannot be used is refused, and the forecast before it stays', async () => {
    const before = (await weather()).forecast?.seq;
    const refused = async (body: string, type: string) => (await problemOf(await post('/api/forecast?name=x', body, type))).code;
    expect(await refused('', 'text/csv')).toBe('bad-entry');
    expect(await refused('time,celsius', 'text/csv')).toBe('bad-entry');
    expect(await refused('{"hours":[', 'application/json')).toBe('bad-entry');
    expect(await refused('{"hours":[]}', 'application/json')).toBe('bad-entry');
    const old = [-60, -50].map((hour) => ({ at: at(hour), celsius: 1 }));
    expect(await refused(JSON.stringify({ hours: old }), 'application/json')).toBe('entry-refused');
    const hot = [0, 1].map((hour) => ({ at: at(hour), celsius: 55 }));
    expect(await refused(JSON.stringify({ hours: hot }), 'application/json')).toBe('entry-questioned');
    const boiling = JSON.stringify({ hours: [0, 1, 2].map((hour) => ({ at: at(hour), celsius: 99 })) });
    expect(await refused(boiling, 'application/json')).toBe('bad-entry');
    expect((await post('/api/forecast', 'x', 'text/plain')).status).toBe(415);
    expect((await post('/api/forecast', 'x'.repeat(2 ** 21), 'text/csv')).status).toBe(413);
    expect((await weather()).forecast?.seq).toBe(before);
  });
});
