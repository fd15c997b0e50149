import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import type { By } from '../../edge/site/entries.ts';
import { crew, type HandSite, quality } from '../support/handSite.ts';
import { answerOf, expectAskedOf, laidUpOf, mixOf, oneJointSite, pathsOf, prepOf } from './oneJoint.ts';

let site: HandSite;
beforeEach(async () => {
  site = await oneJointSite();
});
afterEach(() => site[Symbol.asyncDispose]());

const answer = (said: object, by: By = crew) => answerOf(site, said, by);
const at = () => site.at();
const prep = (more?: object) => prepOf(site, more);
const mix = (more?: object) => mixOf(site, more);
const laidUp = (more?: object) => laidUpOf(site, more);

const expectAsked = (said: object, code: string, path: string, by?: By) => expectAskedOf(site, said, code, path, by);

describe('impossible quantities', () => {
  test.each([
    [{ resin: { value: 0, unit: 'mL' } }, ['resin.value']],
    [{ resin: { value: -1, unit: 'quart' } }, ['resin.value']],
    [{ resin: { value: 201, unit: 'L' } }, ['resin.value']],
    [{ resin: { value: 60, unit: 'gallon' } }, ['resin.value']],
    [{ resin: { value: 1, unit: 'bucket' } }, ['resin.unit']],
    [{ catalystMillilitres: 0 }, ['catalystMillilitres']],
    [{ catalystMillilitres: Number.POSITIVE_INFINITY }, ['catalystMillilitres']],
    [{ resinCelsius: 151 }, ['resinCelsius']],
    [{ resinCelsius: -300 }, ['resinCelsius']],
  ])('a mix with %j', (changes, paths) => {
    expect(pathsOf({ ...mix(), ...changes })).toEqual(paths);
  });

  // 20 % of a quart is 189.27 mL: more is catalyst in the wrong unit, 15 fl oz for one.
  test.each([[190], [443.6]])('%d mL of catalyst in a quart', async (catalystMillilitres) => {
    expect(await answer(mix({ catalystMillilitres }))).toMatchObject({
      code: 'entry-refused',
      paths: ['catalystMillilitres'],
      text: expect.stringContaining('check the amounts and their units'),
    });
  });

  // 5 % of a quart is 47.3 mL; no band goes as far.
  test('up to there, and above 5 %, it is asked about', async () => {
    expect(await answer(mix({ catalystMillilitres: 47.3 }))).toBeNull();
    await expectAsked(mix({ catalystMillilitres: 47.4 }), 'much-catalyst', 'catalystMillilitres');
    await expectAsked(mix({ catalystMillilitres: 189 }), 'much-catalyst', 'catalystMillilitres');
  });

  test('a mix without its amounts, and a kit with catalyst', async () => {
    const { resin: _, catalystMillilitres: __, ...bare } = mix();
    expect((await answer(bare))?.paths).toEqual(['resin', 'catalystMillilitres']);
    await site.say({ kind: 'joint.added', joint: 'pour', sump: 's1', label: 'P', schedule: 'epoxy-pour', probes: [] });
    expect((await answer({ ...mix(), joint: 'pour' }))?.paths).toEqual(['catalystMillilitres']);
    expect(await answer({ ...bare, joint: 'pour' })).toBeNull();
  });

  test('lots that are not there, or are of another material', async () => {
    await site.say({ kind: 'lot.added', lot: 'r1', material: 'resin', label: 'Resin' });
    await site.say({ kind: 'lot.added', lot: 'c1', material: 'catalyst', label: 'Catalyst' });
    expect((await answer(mix({ resinLot: 'r9', catalystLot: 'c9' })))?.paths).toEqual(['resinLot', 'catalystLot']);
    expect((await answer(mix({ resinLot: 'c1', catalystLot: 'r1' })))?.paths).toEqual(['resinLot', 'catalystLot']);
    expect(await answer(mix({ resinLot: 'r1', catalystLot: 'c1' }))).toBeNull();
    expect((await answer({ kind: 'lot.added', lot: 'r1', material: 'resin', label: 'Again' }))?.paths).toEqual(['lot']);
  });

  test.each([
    [prep, { humidityPercent: 0 }, ['humidityPercent']],
    [prep, { humidityPercent: 101 }, ['humidityPercent']],
    [prep, { sanded: false }, ['sanded']],
    [prep, { wiped: false, dry: false }, ['wiped', 'dry']],
  ])('a surface signed for with %j %j', (make, changes, paths) => {
    expect(pathsOf({ ...make(), ...changes })).toEqual(paths);
  });

  test.each([
    [{ hardness: { readings: [], makerMinimum: 40 } }, ['hardness.readings']],
    [{ hardness: { readings: [101], makerMinimum: 40 } }, ['hardness.readings.0']],
    [{ hardness: { readings: [40], makerMinimum: 0.9 } }, ['hardness.makerMinimum']],
    [{}, ['hardness']],
  ])('a proof of %j', (changes, paths) => {
    expect(pathsOf({ kind: 'proof.recorded', joint: 'j1', at: at(), ...changes })).toEqual(paths);
  });

  test('water of 68 °F given as °C, and a level beyond any sump', () => {
    const water = {
      kind: 'hydrotest.recorded',
      sump: 's1',
      method: 'full-height',
      fillAboveHighest: { value: 4, unit: 'in' },
      filledAt: at(),
      startedAt: at(),
      endedAt: at(),
    };
    expect(pathsOf({ ...water, waterCelsiusStart: 68 })).toEqual(['waterCelsiusStart']);
    expect(pathsOf({ ...water, fillAboveHighest: { value: 4000, unit: 'in' } })).toEqual(['fillAboveHighest.value']);
  });

  test('a bead on a laminate, and one too deep ever to cure through', async () => {
    const bead = (schedule: string, beadMillimetres: number) => ({
      kind: 'joint.added',
      joint: 'bead',
      sump: 's1',
      label: 'B',
      schedule,
      probes: [],
      beadMillimetres,
    });
    expect((await answer(bead('polyester-laminate', 6)))?.paths).toEqual(['beadMillimetres']);
    // 24 h × (20 ÷ 3)² = 1067 h, more than the 1000 h that can be counted.
    expect((await answer(bead('sealant-bead', 20)))?.text).toContain('1067 h');
    expect(await answer(bead('sealant-bead', 19))).toBeNull();
  });
});

describe('times', () => {
  test('in the future are refused, of everything that has one', async () => {
    const soon = site.at(-1);
    for (const said of [
      prep({ at: soon }),
      mix({ at: soon }),
      laidUp({ at: soon }),
      { kind: 'rain.noted', at: soon },
      { kind: 'rain.noted', at: at(), until: soon },
      { kind: 'activity.started', sump: 's1', activity: 'water-test', at: soon, reason: 'x' },
      { kind: 'note.added', text: 'x', at: soon },
    ]) {
      const refused = await answer(said);
      expect(refused, JSON.stringify(said)).toMatchObject({
        code: 'entry-refused',
        text: expect.stringContaining('lies in the future'),
      });
    }
  });

  test('long before the sump was put on record are asked about; two days before are not', async () => {
    expect(await expectAsked(laidUp({ at: site.at(48.1) }), 'before-sump', 'at')).toContain('North');
    expect(await answer(prep({ at: site.at(47.9) }))).toBeNull();
  });

  test('in the wrong order are refused', async () => {
    await site.say(laidUp({ at: site.at(5) }));
    expect((await answer({ kind: 'joint.relaid', joint: 'j1', at: site.at(6) }))?.paths).toEqual(['at']);
    expect((await answer({ kind: 'proof.recorded', joint: 'j1', at: site.at(6), surface: 'firm' }))?.paths).toEqual(['at']);
    expect((await answer({ kind: 'rain.noted', at: site.at(5), until: site.at(6) }))?.paths).toEqual(['until']);
    await site.say({ kind: 'rain.noted', at: site.at(3) });
    expect((await answer({ kind: 'rain.ended', at: site.at(4) }))?.paths).toEqual(['at']);
    expect(await answer({ kind: 'rain.ended', at: site.at(2) })).toBeNull();
    expect((await answer({ kind: 'rain.ended', at: site.at(1) }))?.text).toContain('no rain is going on');
  });

  test('of a water test have to follow each other', async () => {
    await site.say({ kind: 'activity.started', sump: 's1', activity: 'water-test', at: site.at(2), reason: 'trial' }, quality);
    const tested = (filled: number, started: number, ended: number) => ({
      kind: 'hydrotest.recorded',
      sump: 's1',
      method: 'full-height',
      fillAboveHighest: { value: 4, unit: 'in' },
      filledAt: site.at(filled),
      startedAt: site.at(started),
      endedAt: site.at(ended),
      byHand: { start: { value: 40, unit: 'in' }, end: { value: 40, unit: 'in' }, resolution: { value: 1, unit: 'mm' } },
    });
    expect((await answer(tested(2.1, 1, 0)))?.paths).toEqual(['filledAt']);
    expect((await answer(tested(1, 1.1, 0)))?.paths).toEqual(['startedAt']);
    expect((await answer(tested(1.5, 1, 1)))?.paths).toEqual(['endedAt']);
    const { byHand: _, ...unread } = tested(1.5, 1.2, 0);
    expect((await answer(unread))?.paths).toEqual(['byHand']);
    expect((await answer({ ...unread, probe: 'p1' }))?.paths).toEqual(['probe']);
    expect(await answer(tested(1.5, 1.2, 0))).toBeNull();
  });
});

describe('a schedule of the site’s own', () => {
  const [laminate] = builtInSchedules;
  const given = (changes: object) => ({
    kind: 'schedule.given',
    reason: 'the lot’s sheet',
    definition: { ...laminate, ...changes },
  });

  test('needs a table that falls, a version that follows, and a role that may', async () => {
    const points = (hours: number[]) => ({
      law: { kind: 'table', points: hours.map((each, index) => ({ celsius: 5 + 10 * index, hours: each })) },
      fromMix: undefined,
      name: 'own',
    });
    expect(pathsOf(given(points([48, 24, 30])))).toEqual(['definition.law.points.2.hours']);
    expect((await answer(given({ version: 1 }), quality))?.paths).toEqual(['definition.version']);
    expect((await answer(given({ version: 3 }), quality))?.paths).toEqual(['definition.version']);
    expect(await answer(given({ version: 2 }), crew)).toMatchObject({ code: 'wrong-role' });
    expect(await answer(given({ version: 2, floorCelsius: 6 }), quality)).toBeNull();
  });

  test('counts for joints that are added afterwards; those on the site keep theirs', async () => {
    await site.say(given({ version: 2, referenceCelsius: 12 }), quality);
    await site.say({ kind: 'joint.added', joint: 'j2', sump: 's1', label: 'Two', schedule: 'polyester-laminate', probes: [] });
    expect(site.joint('j1').scheduleDetail).toMatchObject({ version: 1, referenceCelsius: 10 });
    expect(site.joint('j2').scheduleDetail).toMatchObject({ version: 2, referenceCelsius: 12 });
    await site.restart();
    expect(site.joint('j2').scheduleDetail).toMatchObject({ version: 2, referenceCelsius: 12 });
  });
});
