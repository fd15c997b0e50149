import { describe, expect, test } from 'vitest';
import type { Entry } from '../../edge/site/entries.ts';
import type { Joint } from '../../edge/site/state/joint.ts';
import type { Probe } from '../../edge/site/state/probe.ts';
import { entry, type Said, siteWith, usual } from './entriesOf.ts';
import { calibration, clock, laidUp, mix, prep, proof } from './work.ts';

const said = (...each: readonly Said[]): Entry[] => each.map((one, index) => entry(one, clock(700 + index)));
const site = (...each: readonly Said[]) => siteWith(...usual, ...said(...each));
const joint = (...each: readonly Said[]) => site(...each).joints.get('j1') as Joint;
const probe = (name: string, ...each: readonly Said[]) => site(...each).probes.get(name) as Probe;
const ms = (minute: number) => Date.parse(clock(minute));
const relaid = (minute: number, lost?: readonly string[]): Said => ({
  kind: 'joint.relaid',
  joint: 'j1',
  at: clock(minute),
  ...(lost === undefined ? {} : { lost }),
});

describe('a joint under way', () => {
  test('is open from its first preparation, mix or ply, whichever was first', () => {
    expect(joint().openMs).toBeNull();
    expect(joint(mix(20), prep(10)).openMs).toBe(ms(10));
    expect(joint(laidUp(30), mix(20)).openMs).toBe(ms(20));
    expect(joint(laidUp(30)).openMs).toBe(ms(30));
  });

  test('what was measured at the preparation is kept in thousandths', () => {
    const [measured] = joint(prep(10, { surfaceCelsius: 12.34, airCelsius: 14, humidityPercent: 61.5 })).preps;
    expect(measured).toMatchObject({ atMs: ms(10), surfaceMilliC: 12_340, airMilliC: 14_000, humidityMilliPercent: 61_500 });
    expect(joint(prep(10)).preps[0]).toMatchObject({ surfaceMilliC: null, airMilliC: null, humidityMilliPercent: null });
  });

  test('mixes and proofs are kept in the order they were said, and told in words', () => {
    const lot = { resinLot: 'r1', catalystLot: 'c1', note: 'cold can' };
    const { mixes, proofs, events } = joint(mix(20, lot), laidUp(30), proof(900 - 700, [38, 40], 'firm'));
    expect(mixes).toMatchObject([
      { resin: { value: 1, unit: 'quart' }, catalystMillilitres: 15, resinCelsius: 18, resinLot: 'r1' },
    ]);
    expect(proofs).toMatchObject([{ hardness: { readings: [38, 40], makerMinimum: 40 }, surface: 'firm' }]);
    expect(events.map(({ kind, text }) => [kind, text])).toEqual([
      ['mix', '1 quart, 15 mL, r1, c1, cold can'],
      ['laidUp', ''],
      ['proof', '38 40, firm'],
    ]);
  });
});

describe('a joint that is laid up anew', () => {
  test('what was prepared and mixed since the last ply was for the new attempt, what came before was for the old one', () => {
    const { preps, mixes, openMs, laidUpMs, attempt } = joint(prep(0), mix(10), laidUp(20), prep(100), mix(110), relaid(120));
    expect(preps.map(({ atMs }) => atMs)).toEqual([ms(100)]);
    expect(mixes.map(({ atMs }) => atMs)).toEqual([ms(110)]);
    expect({ openMs, laidUpMs, attempt }).toEqual({ openMs: ms(100), laidUpMs: ms(120), attempt: 2 });
  });

  test('old proofs prove nothing of it', () => {
    expect(joint(laidUp(20), proof(100, [40], 'firm'), relaid(120)).proofs).toEqual([]);
    expect(joint(laidUp(20), relaid(120), proof(130, [40], 'firm')).proofs).toHaveLength(1);
  });

  test('attempts count: none before lay-up, one with any number of plies, one more with each new start', () => {
    expect(joint(prep(0)).attempt).toBe(0);
    expect(joint(laidUp(10), laidUp(20), laidUp(30)).attempt).toBe(1);
    expect(joint(laidUp(10), relaid(50), relaid(90)).attempt).toBe(3);
  });

  test('stages that were lost stay on record, through further attempts too', () => {
    const { lost } = joint(laidUp(10), relaid(50, ['stress', 'hydro']), relaid(90));
    expect(lost).toMatchObject([{ atMs: ms(50), stages: ['stress', 'hydro'] }]);
  });
});

describe('instruments', () => {
  test('a calibration corrects from its own date on, not from when it was recorded, and cuts the settings there', () => {
    const { settings } = probe('p1', { kind: 'calibration.recorded', probe: 'p1', at: clock(60), calibration: calibration() });
    expect(settings.map(({ fromMs, calibration: inForce }) => [fromMs, inForce?.points.length ?? null])).toEqual([
      [Number.NEGATIVE_INFINITY, null],
      [ms(60), 2],
    ]);
    // With a reference of ±0.1 °C the budget is narrower than the maker's ±0.5 °C.
    expect(settings[1]?.uncertaintyMilliC).toBeLessThan(500);
    expect(settings[1]?.uncertaintyMilliC).toBeGreaterThan(100);
  });

  test('an uncertainty that somebody gave stands, whatever the calibration would come to', () => {
    const given: Said = { kind: 'probe.registered', probe: 'p1', role: 'material', uncertaintyCelsius: 0.9 };
    const calibrated: Said = { kind: 'calibration.recorded', probe: 'p1', at: clock(60), calibration: calibration() };
    expect(probe('p1', calibrated, given).settings.at(-1)).toMatchObject({ uncertaintyMilliC: 900 });
  });

  test('another sensor under the same name has not been compared with anything', () => {
    const calibrated: Said = { kind: 'calibration.recorded', probe: 'p1', at: clock(60), calibration: calibration() };
    const exchanged: Said = {
      kind: 'probe.registered',
      probe: 'p1',
      role: 'material',
      sensor: { kind: 'pt100', tolerance: 'B' },
    };
    const { settings } = probe('p1', calibrated, exchanged);
    expect(settings.at(-1)).toMatchObject({ sensor: { kind: 'pt100' }, calibration: null });
    expect(settings).toHaveLength(3);
  });

  test('a class B Pt100 with an unknown reader is believed less than a class A one', () => {
    const of = (tolerance: string) =>
      probe('new', { kind: 'probe.registered', probe: 'new', role: 'material', sensor: { kind: 'pt100', tolerance } }).settings[0]
        ?.uncertaintyMilliC ?? 0;
    expect(of('B')).toBeGreaterThan(of('A'));
    // Class A at 20 °C 0.19 °C [P], reader 0.2 °C: U = 2·√(0.19²/3 + 0.2²/3 + 0.01²) = 0.3192 °C [C], rounded up.
    expect(of('A')).toBe(320);
  });

  test('one topic may serve several probes; a probe that is mapped anew has its newest fields only', () => {
    const mapped = (name: string, pointer: string): Said => ({
      kind: 'probe.mapped',
      probe: name,
      topic: 'shed/1',
      fields: [{ pointer, quantity: 'temperature', unit: 'Far' }],
    });
    const { mappings } = site(mapped('p1', '/a'), mapped('p2', '/b'), mapped('p1', '/c'));
    expect(mappings.get('shed/1')?.map(({ probe: name, fields }) => [name, fields[0]?.pointer])).toEqual([
      ['p1', '/c'],
      ['p2', '/b'],
    ]);
  });
});

describe('a sump', () => {
  test('keeps the sequence that it was added with', () => {
    const added = (sump: string): Said => ({ kind: 'sump.added', sump, label: sump, sequence: 'own' });
    const given = (version: number): Said => ({
      kind: 'sequence.given',
      reason: 'as we do it',
      definition: {
        name: 'own',
        version,
        title: `Version ${version}`,
        author: 'Q. Fir',
        source: 'the yard',
        parts: [],
        activities: [
          {
            activity: 'fill',
            label: 'Fill',
            waterTest: true,
            needs: [{ need: 'allJoints', stage: 'hydro' }, { need: 'decided' }],
          },
        ],
      },
    });
    const { sumps } = site(given(1), added('a'), given(2), added('b'));
    expect(sumps.get('a')?.sequence.version).toBe(1);
    expect(sumps.get('b')?.sequence.version).toBe(2);
  });

  test('every start before its time stays, also when the activity is started again', () => {
    const start = (minute: number, early: boolean): Said => ({
      kind: 'activity.started',
      sump: 's1',
      activity: 'water-test',
      at: clock(minute),
      ...(early ? { reason: 'in a hurry', early: [{ need: 'joint "j1" is not clear for hydro', missingHours: 3 }] } : {}),
    });
    const sump = site(start(10, true), start(100, false)).sumps.get('s1');
    expect(sump?.started.get('water-test')).toMatchObject({ atMs: ms(100), early: [] });
    expect(sump?.startedEarly).toMatchObject([{ atMs: ms(10), reason: 'in a hurry' }]);
  });
});

describe('rain', () => {
  const rain = (minute: number, more: object = {}): Said => ({ kind: 'rain.noted', at: clock(minute), ...more });
  const ended = (minute: number, more: object = {}): Said => ({ kind: 'rain.ended', at: clock(minute), ...more });

  test('goes on until its end is told, of the site and of each sump apart', () => {
    const { rains } = site(rain(0), rain(5, { sump: 's1' }), ended(30));
    expect(rains.map(({ atMs, untilMs, sump }) => [atMs, untilMs, sump])).toEqual([
      [ms(0), ms(30), null],
      [ms(5), null, 's1'],
    ]);
    expect(site(rain(0), rain(5, { sump: 's1' }), ended(30, { sump: 's1' })).rains.map(({ untilMs }) => untilMs)).toEqual([
      null,
      ms(30),
    ]);
  });

  test('an end does not reach a rain that began after it, nor one that has an end', () => {
    const { rains } = site(rain(0, { until: clock(10) }), rain(60), ended(30));
    expect(rains.map(({ untilMs }) => untilMs)).toEqual([ms(10), null]);
  });
});
