import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { CodedError } from '../../edge/errors.ts';
import { type By, Statement } from '../../edge/site/entries.ts';
import { crew, HandSite, quality, somebody } from '../support/handSite.ts';

const START_MS = Date.parse('2026-05-04T08:00:00Z');

let site: HandSite;
beforeEach(async () => {
  site = await HandSite.start(START_MS);
  await site.say({ kind: 'sump.added', sump: 's1', label: 'North' });
  await site.say({ kind: 'probe.registered', probe: 'p1', role: 'material', uncertaintyCelsius: 0.5 });
  await site.say({ kind: 'joint.added', joint: 'j1', sump: 's1', label: 'One', schedule: 'polyester-laminate', probes: ['p1'] });
});
afterEach(() => site[Symbol.asyncDispose]());

/** The refusal or question; null: it was taken. */
async function answer(
  said: object,
  by: By = crew,
): Promise<{ code: string; paths: string[]; confirm: string[]; text: string } | null> {
  const fault = await site.say(said, by).then(
    () => null,
    (thrown: unknown) => thrown,
  );
  if (fault === null) return null;
  if (!(fault instanceof CodedError)) throw fault;
  const { code, faults, message } = fault;
  return { code, paths: faults.map(({ path }) => path), confirm: faults.flatMap(({ confirm }) => confirm ?? []), text: message };
}

/** Faults of the schema alone, before anything on the site is looked at. */
function pathsOf(said: object): string[] {
  const read = Statement.safeParse(said);
  return read.success ? [] : read.error.issues.map(({ path }) => path.join('.'));
}

const at = () => site.at();
const prep = (more: object = {}) => ({
  kind: 'prep.signed',
  joint: 'j1',
  at: at(),
  sanded: true,
  wiped: true,
  dry: true,
  ...more,
});
const mix = (more: object = {}) => ({
  kind: 'mix.recorded',
  joint: 'j1',
  at: at(),
  resin: { value: 1, unit: 'quart' },
  catalystMillilitres: 15,
  resinCelsius: 18,
  ...more,
});
const laidUp = (more: object = {}) => ({ kind: 'joint.laidUp', joint: 'j1', at: at(), ...more });

/** Taken after it was asked about and said yes to, and not on any other word. */
async function expectAsked(said: object, code: string, path: string, by: By = crew): Promise<string> {
  const before = [...site.live.ledger.entries()].length;
  const asked = await answer(said, by);
  expect(asked).toMatchObject({ code: 'entry-questioned', paths: [path], confirm: [code] });
  const another = code === 'before-sump' ? 'too-cold' : 'before-sump';
  expect(await answer({ ...said, confirmed: [another] }, by)).toMatchObject({
    code: 'entry-questioned',
    confirm: [code],
  });
  expect([...site.live.ledger.entries()]).toHaveLength(before);
  expect(await answer({ ...said, confirmed: [code] }, by)).toBeNull();
  expect([...site.live.ledger.entries()].at(-1)?.entry).toMatchObject({ confirmed: [code] });
  return asked?.text ?? '';
}

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

describe('°F typed as °C is asked back', () => {
  // 60–70 °F is what resin is used at [T].
  test.each([
    ['resinCelsius', 60, '15.6 °C'],
    ['resinCelsius', 70, '21.1 °C'],
    ['airCelsius', 50, '10.0 °C'],
  ])('a mix with %s %d', async (field, value, meant) => {
    expect(await expectAsked(mix({ [field]: value }), 'maybe-fahrenheit', field)).toContain(meant);
  });

  test('a surface at 68', async () => {
    await expectAsked(prep({ surfaceCelsius: 68 }), 'maybe-fahrenheit', 'surfaceCelsius');
  });

  test('45 °C is plausible as it is, 114 °C would be no °F either', async () => {
    expect(await answer(mix({ resinCelsius: 45 }))).toBeNull();
    expect(await answer(mix({ resinCelsius: 114 }))).toBeNull();
  });

  test('resin below freezing is more likely °C in a field for °F', async () => {
    expect(await expectAsked(mix({ resinCelsius: -7.8 }), 'maybe-celsius', 'resinCelsius')).toContain('was it 18.0 °C?');
    expect(await answer(mix({ airCelsius: -7.8 }))).toBeNull();
  });

  test('a calibration point of 32 is the ice point in °F, and refused', () => {
    const points = [
      { referenceCelsius: 32, indicatedCelsius: 32.4 },
      { referenceCelsius: 70, indicatedCelsius: 70.4 },
    ];
    const calibration = { points, referenceUncertaintyCelsius: 0.1, reference: 'ice', on: '2026-05-04', by: 'R. Oak' };
    expect(pathsOf({ kind: 'calibration.recorded', probe: 'p1', at: at(), calibration })).toEqual(['calibration.points']);
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

describe('one probe on two joints', () => {
  const second = { kind: 'joint.added', joint: 'j2', sump: 's1', label: 'Two', schedule: 'polyester-laminate', probes: ['p1'] };

  test('is asked about while the other counts on it', async () => {
    expect(await expectAsked(second, 'probe-elsewhere', 'probes.0')).toContain('joint "One" counts on probe "p1" now');
    await expectAsked({ kind: 'joint.assigned', joint: 'j2', probes: ['p1'] }, 'probe-elsewhere', 'probes.0');
  });

  test('is in order once the other is done, or has given it up', async () => {
    await site.say(prep());
    await site.say(laidUp());
    await site.cure(25, 15, 'p1');
    expect(site.joint('j1').phase).toBe('hydroReady');
    expect(await answer(second)).toBeNull();
    await site.say({ kind: 'joint.assigned', joint: 'j2', probes: [] });
    await site.say({ kind: 'joint.added', joint: 'j3', sump: 's1', label: 'Three', schedule: 'epoxy-pour', probes: ['p1'] });
    await site.say({ kind: 'joint.assigned', joint: 'j3', probes: [] });
    expect(await answer({ kind: 'joint.assigned', joint: 'j2', probes: ['p1'] })).toBeNull();
  });

  test('the same air for two joints is nothing to ask about', async () => {
    await site.say({ kind: 'probe.registered', probe: 'air', role: 'ambient' });
    const bead = { schedule: 'sealant-bead', probes: [], ambient: 'air', kind: 'joint.added', sump: 's1', label: 'B' };
    expect(await answer({ ...bead, joint: 'b1' })).toBeNull();
    expect(await answer({ ...bead, joint: 'b2' })).toBeNull();
  });
});

describe('two people who record the same thing', () => {
  test.each([
    ['a lay-up', () => laidUp()],
    ['a preparation', () => prep()],
    ['a mix', () => mix()],
    ['rain', () => ({ kind: 'rain.noted', at: at() })],
  ])('%s is asked about within ten minutes, not afterwards, and not of one who says it twice', async (_, said) => {
    const other = somebody('crew', 'P. Yew');
    await site.say(said(), other);
    expect(await expectAsked(said(), 'said-twice', 'kind')).toContain('P. Yew recorded the same');
    expect(await answer(said(), crew)).toMatchObject({ code: 'entry-questioned' });
    site.wait(10 / 60 + 0.001);
    expect(await answer(said(), crew)).toBeNull();
  });

  test('is asked about when they speak of about the same time, half an hour apart, no more', async () => {
    const other = somebody('crew', 'P. Yew');
    await site.say(mix({ at: site.at(3) }), other);
    expect(await answer(mix({ at: site.at(2.49) }))).toBeNull();
    expect(await answer(mix({ at: site.at(3.51) }))).toBeNull();
    expect((await answer(mix({ at: site.at(2.5) })))?.confirm).toEqual(['said-twice']);
    expect((await answer(mix({ at: site.at(3.5) })))?.confirm).toEqual(['said-twice']);
  });

  test('rain on one sump is not rain on another, nor on the whole site', async () => {
    await site.say({ kind: 'sump.added', sump: 's2', label: 'South' });
    const rain = (sump?: string) => ({ kind: 'rain.noted', at: at(), ...(sump === undefined ? {} : { sump }) });
    await site.say(rain('s1'), somebody('crew', 'P. Yew'));
    expect((await answer(rain('s1')))?.confirm).toEqual(['said-twice']);
    expect(await answer(rain('s2'))).toBeNull();
    expect(await answer(rain())).toBeNull();
  });

  test('one person’s further ply is none of that', async () => {
    await site.say(laidUp());
    expect(await answer(laidUp())).toBeNull();
  });

  test('what was taken back was not said', async () => {
    const seq = await site.say(laidUp(), somebody('crew', 'P. Yew'));
    await site.say({ kind: 'entry.withdrawn', seq, reason: 'wrong joint' });
    expect(await answer(laidUp())).toBeNull();
  });
});

describe('a surface too cold to cure', () => {
  test('is asked about by what was measured on it, 5 °C is warm enough', async () => {
    await expectAsked(prep({ surfaceCelsius: 4.9 }), 'too-cold', 'joint');
    expect(await answer(prep({ surfaceCelsius: 5 }))).toBeNull();
  });

  test('or by what its probe says now, guard band taken off; not of work long ago', async () => {
    await site.hear('p1', 'temperature', 5.4, { from: 0.1 });
    await expectAsked(mix(), 'too-cold', 'joint');
    expect(await answer(mix({ at: site.at(2) }))).toBeNull();
    site.wait(0.01);
    await site.hear('p1', 'temperature', 5.5, { from: 0 });
    expect(await answer(mix())).toBeNull();
  });
});

describe('a proof of a joint that has hardly begun to cure', () => {
  const proof = () => ({
    kind: 'proof.recorded',
    joint: 'j1',
    at: at(),
    hardness: { readings: [40], makerMinimum: 40 },
    surface: 'firm',
  });

  test('is asked about while the hours of the first stage are missing', async () => {
    await site.say(prep());
    await site.say(laidUp());
    await site.cure(6, 20, 'p1');
    expect(await expectAsked(proof(), 'early-proof', 'joint')).toContain('lacks 6.0 warm hours for stress');
    await site.cure(6, 20, 'p1');
    expect(site.joint('j1').stages[0]?.reachedAt).not.toBeNull();
    expect(await answer(proof())).toBeNull();
  });
});

test('only what can be asked can be confirmed', () => {
  expect(pathsOf({ ...mix(), confirmed: ['much-catalyst', 'whatever-it-is'] })).toEqual(['confirmed.1']);
});

test('several questions are asked at once, and each has to be answered', async () => {
  await site.say(mix({ at: site.at(100), confirmed: ['before-sump'] }), somebody('crew', 'P. Yew'));
  const said = mix({ resinCelsius: 65, at: site.at(100) });
  expect((await answer(said))?.confirm.sort()).toEqual(['before-sump', 'maybe-fahrenheit', 'said-twice']);
  expect((await answer({ ...said, confirmed: ['said-twice', 'before-sump'] }))?.confirm).toEqual(['maybe-fahrenheit']);
  expect(await answer({ ...said, confirmed: ['said-twice', 'before-sump', 'maybe-fahrenheit'] })).toBeNull();
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
