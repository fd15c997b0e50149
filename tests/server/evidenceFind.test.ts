import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type Asked, Finder, FOUND_MOST } from '../../server/evidence/find/finder.ts';
import { layUp, workedSite } from '../evidence/support/packing.ts';
import { about, crew, type HandSite, quality, somebody } from '../support/handSite.ts';

let site: HandSite;
let finder: Finder;

beforeAll(async () => {
  site = await workedSite();
  finder = new Finder(site.live);
  await site.say({ kind: 'joint.added', joint: 'k-1', sump: 's2', label: 'Größe 4', schedule: 'quick', probes: [] });
});
afterAll(() => site[Symbol.asyncDispose]());

const names = async (asked: Asked) => (await finder.find(asked)).joints.map(({ joint }) => joint);

describe('joints are found by what a claim says', () => {
  test.each<[Asked, string[]]>([
    [{}, ['k-1', 'j2', 'j1']],
    [{ serial: 'A-17' }, ['j2', 'j1']],
    [{ serial: 'a 17' }, ['j2', 'j1']],
    [{ serial: 'A17' }, ['j2', 'j1']],
    [{ serial: 'A-1' }, []],
    [{ serial: '-' }, []],
    [{ sump: 's2' }, ['k-1']],
    [{ sump: 'Sump 1' }, ['j2', 'j1']],
    [{ joint: 'upper' }, ['j2']],
    [{ joint: 'K1' }, ['k-1']],
    [{ joint: 'GRÖSSE 4' }, []],
    [{ joint: 'größe 4' }, ['k-1']],
    [{ lot: 'r1' }, ['j1']],
    [{ lot: 'Drum north' }, ['j1']],
    [{ person: 'alder' }, ['j2', 'j1']],
    [{ person: 'Q. Fir' }, ['j2']],
    [{ person: 'nobody' }, []],
    [{ site: 'yard' }, ['k-1', 'j2', 'j1']],
    [{ site: 'North yard' }, ['k-1', 'j2', 'j1']],
    [{ site: 'south' }, []],
    [{ serial: 'A-17', lot: 'r1' }, ['j1']],
    [{ serial: 'A-17', sump: 's2' }, []],
    [{ q: 'A-17 base' }, ['j1']],
    [{ q: 'drum ald' }, ['j1']],
    [{ q: 'upp' }, ['j2']],
    [{ q: 'up' }, []],
    [{ q: 'drum nothing' }, []],
    [{ q: '  ' }, ['k-1', 'j2', 'j1']],
  ])('%j', async (asked, expected) => {
    expect(await names(asked)).toEqual(expected);
  });

  test('by the period of the work on it', async () => {
    const start = site.nowMs - 37 * 3_600_000;
    const hour = (count: number) => start + count * 3_600_000;
    expect(await names({ fromMs: hour(-1), toMs: hour(1) })).toEqual(['j1']);
    expect(await names({ fromMs: hour(1), toMs: hour(3) })).toEqual(['j2']);
    expect(await names({ fromMs: hour(7.5), toMs: hour(30) })).toEqual([]);
    expect(await names({ toMs: hour(-1) })).toEqual([]);
  });

  test('by what stood out in it', async () => {
    expect(site.joint('j2').findings.map(({ code }) => code)).toEqual(['prep-missing']);
    expect(await names({ finding: 'prep-missing' })).toEqual(['j2']);
    expect(await names({ finding: 'any' })).toContain('j2');
    expect(await names({ finding: 'hot-joint' })).toEqual([]);
    expect(await names({ finding: 'prep-missing', lot: 'r1' })).toEqual([]);
  });

  test('with all that is told of one', async () => {
    const { joints } = await finder.find({ joint: 'j1' });
    const { laidUpAt, findings } = site.joint('j1');
    expect(joints).toEqual([
      {
        joint: 'j1',
        label: 'Base',
        sump: 's1',
        sumpLabel: 'Sump 1',
        serial: 'A-17',
        phase: 'hydroReady',
        laidUpAt,
        people: ['R. Oak', 'Zoë Alder'],
        lots: ['r1'],
        findings: { open: findings.filter(({ open }) => open).length, decided: 0 },
        sealedAt: site.at(35),
        packet: '/api/joints/j1/evidence.zip',
      },
    ]);
    await site.live.sealJoint('j1');
    expect((await finder.find({ joint: 'j1' })).joints[0]?.sealedAt).toBe(site.at());
  });
});

describe('what is said later is found at once', () => {
  test('a lot, and not any more once it is taken back; what it had in common with others stays', async () => {
    await site.say({ kind: 'lot.added', lot: 'r2', material: 'resin', label: 'Größe barrel' });
    expect((await finder.recall('r2')).joints).toEqual([]);
    const mixed = await site.say({ kind: 'mix.recorded', joint: 'k-1', at: site.at(), resinCelsius: 18, resinLot: 'r2' });
    expect(await names({ lot: 'r2' })).toEqual(['k-1']);
    expect(await names({ q: 'barrel größe' })).toEqual(['k-1']);
    await site.say({ kind: 'entry.withdrawn', seq: mixed, reason: 'another lot' }, quality);
    expect(await names({ lot: 'r2' })).toEqual([]);
    expect(await names({ q: 'barrel' })).toEqual([]);
    expect(await names({ q: 'größe' })).toEqual(['k-1']);
    expect(await names({ person: 'Fir', sump: 's2' })).toEqual(['k-1']);
  });

  test('a decision makes its author one of the joint’s people; work on the sump those of all its joints', async () => {
    const [finding] = site.joint('j2').findings;
    const decided = { kind: 'finding.decided', finding: finding?.id, decision: 'accept', reason: 'looked at' };
    await site.say(decided, somebody('quality', 'M. Holly'));
    expect(await names({ person: 'holly' })).toEqual(['j2']);
    await site.say({ kind: 'note.added', sump: 's1', text: 'Lid on.' }, somebody('crew', 'T. Yew'));
    expect((await names({ person: 'yew' })).toSorted()).toEqual(['j1', 'j2']);
  });

  test('a joint that was added by mistake goes, and another of its name is another', async () => {
    const added = { kind: 'joint.added', joint: 'x', sump: 's2', label: 'Wrong', schedule: 'quick', probes: [] };
    const seq = await site.say(added);
    expect(await names({ joint: 'x' })).toEqual(['x']);
    await site.say({ kind: 'entry.withdrawn', seq, reason: 'no such joint' }, quality);
    expect(await names({ joint: 'x' })).toEqual([]);
    await site.say({ ...added, label: 'Right' });
    expect(await names({ joint: 'x' })).toEqual(['x']);
    expect(await names({ joint: 'wrong' })).toEqual([]);
    expect(await names({ q: 'right' })).toEqual(['x']);
  });

  test('a finder that starts later finds the same', async () => {
    const fresh = new Finder(site.live);
    for (const asked of [{}, { lot: 'r1' }, { person: 'holly' }, { q: 'right' }, { q: 'wrong' }, { lot: 'r2' }])
      expect(await fresh.find(asked)).toEqual(await finder.find(asked));
  });
});

test('a recall names every joint of the lot, of an attempt done again too', async () => {
  await site.say({ kind: 'joint.relaid', joint: 'j1', at: site.at(), reason: 'a bad drum' }, crew);
  site.wait(0.25);
  await layUp(site, 'k-1', { resinLot: 'r1' });
  await site.cure(0.5, about(14), 'p1');
  const { label, material, joints } = await finder.recall('r1');
  expect([label, material]).toEqual(['=Drum, "north"', 'resin']);
  expect(joints.map(({ joint, uses }) => [joint, uses.map(({ as, by, present }) => [as, by, present])])).toEqual([
    ['k-1', [['resin', 'R. Oak', true]]],
    ['j1', [['resin', 'R. Oak', false]]],
  ]);
  await expect(finder.recall('none')).rejects.toThrow('there is no lot "none"');
});

test('of very many, the newest are given, and all are counted', async () => {
  for (let count = 0; count < FOUND_MOST + 5; count++)
    await site.say({ kind: 'joint.added', joint: `m${count}`, sump: 's2', label: 'Many', schedule: 'quick', probes: [] });
  site.wait(1);
  await layUp(site, 'm7');
  const { total, joints } = await finder.find({ q: 'many' });
  expect([total, joints.length, joints[0]?.joint]).toEqual([FOUND_MOST + 5, FOUND_MOST, 'm7']);
});
