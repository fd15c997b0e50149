import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import type { By } from '../../edge/site/entries.ts';
import { crew, type HandSite, somebody } from '../support/handSite.ts';
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
