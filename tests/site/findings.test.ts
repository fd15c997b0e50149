import { describe, expect, test } from 'vitest';
import type { StageReached } from '../../edge/cure/fold.ts';
import type { Episode, EpisodeKind } from '../../edge/cure/inspect/episode.ts';
import type { Entry } from '../../edge/site/entries.ts';
import { FINDING_CODES, type FindingCode, RULES } from '../../edge/site/findings/catalogue.ts';
import type { Finding } from '../../edge/site/findings/finding.ts';
import { jointFindings, type Proven } from '../../edge/site/findings/jointFindings.ts';
import { proofVerdict } from '../../edge/site/findings/proofs.ts';
import { sumpFindings } from '../../edge/site/findings/sumpFindings.ts';
import type { Joint } from '../../edge/site/state/joint.ts';
import type { SiteState } from '../../edge/site/state/site.ts';
import type { Sump } from '../../edge/site/state/sump.ts';
import { entry, type Said, siteWith, usual } from './entriesOf.ts';
import { calibration, clock, laidUp, mix, prep, proof } from './work.ts';

const ms = (minute: number) => Date.parse(clock(minute));
/** What the readings show, and what it is called. */
const KINDS: Readonly<Record<EpisodeKind, FindingCode>> = {
  gap: 'gap',
  'cold-before-gel': 'cold-before-gel',
  'below-proof': 'below-proof',
  'hot-joint': 'hot-joint',
  frozen: 'probe-frozen',
  jump: 'probe-jump',
  sentinel: 'power-on-value',
  apart: 'probes-apart',
  detached: 'probe-detached',
  'battery-low': 'battery-low',
  'off-curve': 'off-curve',
  'dew-risk': 'dew-risk',
};

const met = new Set<FindingCode>();
const NOTHING: Proven = { episodes: [], reached: [], gelMs: null };
const stageAt = (stage: string, minute: number, provisionalPpmMs = 0): StageReached => ({
  stage,
  reachedAtMs: ms(minute),
  provenBy: { probe: 'p1', atMs: ms(minute) },
  provisionalPpmMs,
});
const episode = (kind: EpisodeKind, fromMinute: number, toMinute: number | null, probes: readonly string[] = []): Episode => ({
  kind,
  probes,
  fromMs: ms(fromMinute),
  toMs: toMinute === null ? null : ms(toMinute),
  numbers: { spanMs: 60_000 },
});

/** Said one after the other, each on record when it happened unless it says otherwise. */
function siteAfter(...said: readonly (Said | Entry)[]): SiteState {
  const entries = said.map((one, index) => {
    const at = (one as { at?: string }).at;
    return 'recordedAt' in one ? (one as Entry) : entry(one, at ?? clock(5000 + index));
  });
  return siteWith(...usual, ...entries);
}

function found(said: readonly (Said | Entry)[], proven: Partial<Proven> = {}, nowMinute = 6000): Finding[] {
  const site = siteAfter(...said);
  const findings = jointFindings(site, site.joints.get('j1') as Joint, { ...NOTHING, ...proven }, ms(nowMinute));
  for (const { code } of findings) met.add(code);
  return findings;
}

const codes = (findings: readonly Finding[]) => findings.map(({ code }) => code);
const only = (code: FindingCode, findings: readonly Finding[]) => findings.filter((finding) => finding.code === code);
/** Prepared, mixed by the book, laid up. */
const good = [prep(0), mix(10), laidUp(20)];

test('good work leaves no finding', () => {
  expect(found(good)).toEqual([]);
});

describe('each code has its boundary', () => {
  // Resin 1.1 kg/L and catalyst 1.15 kg/L (from memory), one US quart: 1 % by mass is 9.0520 mL, 2.5 % is 22.6302 mL [C].
  test.each([
    [9.0519, ['mix-outside-band'], 'below'],
    [9.0521, [], null],
    [15, [], null],
    [22.6301, [], null],
    [22.6303, ['mix-outside-band'], 'above'],
    // The trade's own 5 mL near 80 °F [T] lies below the published band [P].
    [5, ['mix-outside-band'], 'below'],
  ])('mix-outside-band: %d mL in a quart', (catalystMillilitres, expected, standing) => {
    const findings = found([prep(0), mix(10, { catalystMillilitres }), laidUp(20)]);
    expect(codes(findings)).toEqual(expected);
    expect(findings[0]?.words.standing ?? null).toBe(standing);
  });

  test('mix-outside-band: the sheet of the lot wins over the schedule', () => {
    const sheet = {
      bandPercent: { min: 0.3, preferredMin: 0.4, preferredMax: 0.6, max: 0.8 },
      resinKgPerLitre: 1.1,
      catalystKgPerLitre: 1.15,
      doses: [
        { celsius: 10, millilitresPerLitre: 6 },
        { celsius: 30, millilitresPerLitre: 5 },
      ],
      working: [],
      tack: [],
      source: 'sheet of the lot',
    };
    const lot = { kind: 'lot.added', lot: 'fast', material: 'resin', label: 'Fast', sheet };
    const dosed = (catalystMillilitres: number) => mix(10, { catalystMillilitres, resinLot: 'fast' });
    expect(codes(found([lot, prep(0), dosed(5), laidUp(20)]))).toEqual([]);
    expect(codes(found([lot, prep(0), dosed(15), laidUp(20)]))).toEqual(['mix-outside-band']);
  });

  // 60–70 °F when used [T]: 15.556 to 21.111 °C in whole m°C, the ends belong to it.
  test.each([
    [15.555, ['material-out-of-range']],
    [15.556, []],
    [21.111, []],
    [21.112, ['material-out-of-range']],
  ])('material-out-of-range: resin at %d °C', (resinCelsius, expected) => {
    expect(codes(found([prep(0), mix(10, { resinCelsius }), laidUp(20)]))).toEqual(expected);
  });

  test.each([
    [[mix(10), laidUp(20)], ['prep-missing']],
    [[mix(10), laidUp(20), prep(20)], []],
    [[mix(10), laidUp(20), prep(21)], ['prep-missing']],
    [[mix(10)], []],
  ])('prep-missing: %j', (said, expected) => {
    expect(codes(found(said))).toEqual(expected);
  });

  // 30 °C and 55 % have their dew point at 20 °C [P]: 19.95 °C by the WMO formula [C]. A surface needs 3 °C more [P].
  test.each([
    [22.9, ['dew-risk']],
    [23, []],
  ])('dew-risk: a surface of %d °C in air of 30 °C and 55 %%', (surfaceCelsius, expected) => {
    const measured = prep(0, { surfaceCelsius, airCelsius: 30, humidityPercent: 55 });
    expect(codes(found([measured, mix(10), laidUp(20)]))).toEqual(expected);
  });

  test.each([
    ['ended before work began', { at: clock(-60), until: clock(-1) }, []],
    ['ended as work began', { at: clock(-60), until: clock(0) }, ['rain']],
    ['between mix and gel', { at: clock(12), until: clock(14) }, ['rain']],
    ['from the moment of gel', { at: clock(60), until: clock(90) }, ['rain']],
    ['after gel', { at: clock(61), until: clock(90) }, []],
    ['on another sump', { at: clock(12), until: clock(14), sump: 's2' }, []],
    ['on this sump', { at: clock(12), until: clock(14), sump: 's1' }, ['rain']],
  ])('rain %s', (_, rain, expected) => {
    const noted = [{ kind: 'sump.added', sump: 's2', label: 'S' }, ...good, { kind: 'rain.noted', ...rain }];
    expect(codes(found(noted, { gelMs: ms(60) }))).toEqual(expected);
  });

  test('rain that has not ended ends with gel, and goes on before', () => {
    const rain = { kind: 'rain.noted', at: clock(12) };
    expect(found([...good, rain], { gelMs: null })).toMatchObject([{ code: 'rain', fromMs: ms(12), toMs: null }]);
    expect(found([...good, rain], { gelMs: ms(60) })).toMatchObject([{ code: 'rain', fromMs: ms(12), toMs: ms(60) }]);
  });

  test('rain on a joint whose schedule has no gel: for an hour after the last pour', () => {
    const epoxy = { kind: 'joint.added', joint: 'pour', sump: 's1', label: 'P', schedule: 'epoxy-pour', probes: [] };
    const poured = { kind: 'joint.laidUp', joint: 'pour', at: clock(20) };
    const rainAt = (minute: number) => {
      const site = siteAfter(epoxy, poured, { kind: 'rain.noted', at: clock(minute), until: clock(minute + 5) });
      return codes(jointFindings(site, site.joints.get('pour') as Joint, NOTHING, ms(600)));
    };
    expect(rainAt(80)).toContain('rain');
    expect(rainAt(81)).not.toContain('rain');
  });

  // Hardness at least 90 % of the maker's minimum [p ASTM D2583 readings], and a wiped surface that stays firm.
  test.each([
    [[36, 36], 'firm', 'pass'],
    [[35.98, 36.01], 'firm', 'fail'],
    [[35.99, 36.01], 'firm', 'pass'],
    [[35.9, 36], 'firm', 'fail'],
    [[90], 'tacky', 'fail'],
    [null, 'tacky', 'fail'],
    [[36], null, 'incomplete'],
    [null, 'firm', 'incomplete'],
  ] as const)('a proof of %j against a minimum of 40, %s: %s', (readings, surface, verdict) => {
    const said = proof(900, readings, surface);
    const site = siteAfter(...good, said);
    expect(proofVerdict((site.joints.get('j1') as Joint).proofs[0] as never)).toBe(verdict);
    expect(codes(found([...good, said]))).toEqual(verdict === 'fail' ? ['proof-failed'] : []);
  });

  test('proof-failed stays, whatever is recorded after it, until somebody decides', () => {
    const failed = proof(900, [20], 'tacky');
    for (const later of [proof(960, null, 'firm'), proof(960, [40], 'firm')])
      expect(codes(found([...good, failed, later]))).toEqual(['proof-failed']);
  });

  test('proof-failed blocks every stage, also those whose hours were there before it', () => {
    const reached = [stageAt('stress', 740), stageAt('hydro', 800)];
    expect(found([...good, proof(900, [20], 'firm')], { reached })[0]?.blocks).toEqual(['stress', 'hydro']);
  });

  test.each([
    [0, []],
    [1, ['provisional']],
  ])('provisional: a stage with %d ppm·ms that only the air stood for', (provisionalPpmMs, expected) => {
    const findings = found(good, { reached: [stageAt('stress', 740, provisionalPpmMs)] });
    expect(codes(findings)).toEqual(expected);
    expect(findings.flatMap(({ blocks }) => blocks)).toEqual(provisionalPpmMs === 0 ? [] : ['stress']);
  });

  test.each([
    [600, null, ['calibration-overdue']],
    [599, null, ['calibration-overdue']],
    [601, null, []],
    // Compared anew in time, or during the cure, or only after it.
    [500, 400, []],
    [500, 550, ['calibration-overdue']],
    [500, 700, ['calibration-overdue']],
    // Due and compared anew before work began.
    [-100, -50, []],
  ])('calibration-overdue: due at minute %d, the next one at %s, the cure ending at 600', (due, next, expected) => {
    const calibrated = (at: number, dueMinute: number) => ({
      kind: 'calibration.recorded',
      probe: 'p1',
      at: clock(at),
      calibration: calibration(),
      dueAt: clock(dueMinute),
    });
    const said = [calibrated(-5000, due), ...good, ...(next === null ? [] : [calibrated(next, 90_000)])];
    const reached = [stageAt('stress', 500), stageAt('hydro', 600)];
    const findings = found(said, { reached });
    expect(codes(findings)).toEqual(expected);
    if (next === 550) expect(findings[0]).toMatchObject({ fromMs: ms(500), toMs: ms(550), probes: ['p1'] });
  });

  test.each([
    [30, 90, ['clock-step']],
    [90, 30, ['clock-step']],
    [-90, -1, []],
    [-90, 0, ['clock-step']],
    [700, 760, []],
  ])('clock-step: from minute %d to %d, the cure ending at 600', (from, to, expected) => {
    const step = { kind: 'clock.stepped', boot: 1, monoMs: 5, from: clock(from), to: clock(to) };
    const reached = [stageAt('stress', 500), stageAt('hydro', 600)];
    expect(codes(found([...good, step], { reached }))).toEqual(expected);
  });

  test('stage-lost: laid up anew with stages reached, and only then', () => {
    const relaid = (lost?: string[]) => ({ kind: 'joint.relaid', joint: 'j1', at: clock(900), ...(lost ? { lost } : {}) });
    const again = [prep(890)];
    expect(codes(found([...good, ...again, relaid()]))).toEqual([]);
    expect(found([...good, ...again, relaid(['stress'])])).toMatchObject([{ code: 'stage-lost', words: { stages: 'stress' } }]);
  });

  test('started-early: on the sump, with what was missing, and it stays when the activity goes on as it should', () => {
    const start = (early: boolean) => ({
      kind: 'activity.started',
      sump: 's1',
      activity: 'backfill',
      at: clock(100),
      reason: 'rain is coming',
      ...(early ? { early: [{ need: 'no water test is passed', missingHours: 2.5 }] } : {}),
    });
    const of = (...said: Said[]) => {
      const site = siteAfter(...said);
      const findings = sumpFindings(site, site.sumps.get('s1') as Sump);
      for (const { code } of findings) met.add(code);
      return findings;
    };
    expect(of(start(false))).toEqual([]);
    expect(of(start(true))).toMatchObject([
      {
        code: 'started-early',
        joint: null,
        severity: 'warning',
        open: true,
        numbers: { missingMs: 9_000_000 },
        words: { activity: 'backfill', reason: 'rain is coming', by: 'A. Layer', missing: 'no water test is passed' },
      },
    ]);
    expect(of(start(true), { kind: 'activity.done', sump: 's1', activity: 'backfill', at: clock(200) })).toHaveLength(1);
  });

  test.each(Object.entries(KINDS))('what the readings show as %s is %s', (kind, code) => {
    const findings = found(good, { episodes: [episode(kind as EpisodeKind, 30, 90, ['p1'])] });
    expect(findings).toMatchObject([{ code, fromMs: ms(30), toMs: ms(90), probes: ['p1'], open: true, ...RULES[code] }]);
  });

  test('every code of the catalogue has been met by now', () => {
    expect([...met].sort()).toEqual([...FINDING_CODES].sort());
  });
});

test('what two sources of the same air show is one finding, which lasts as long as the longer', () => {
  const dew = (toMinute: number | null) => episode('dew-risk', 30, toMinute, ['air']);
  for (const ends of [
    [50, 90],
    [90, 50],
  ])
    expect(found(good, { episodes: ends.map(dew) })).toMatchObject([{ code: 'dew-risk', toMs: ms(90) }]);
  expect(found(good, { episodes: [dew(null), dew(90)] })).toMatchObject([{ code: 'dew-risk', toMs: null }]);
});

describe('what a finding blocks', () => {
  test.each(Object.entries(KINDS))('%s: a stop blocks stages, a warning and a note none', (kind, code) => {
    const [finding] = found(good, { episodes: [episode(kind as EpisodeKind, 30, 90)] });
    expect(finding?.blocks).toEqual(RULES[code].severity === 'stop' ? ['stress', 'hydro'] : []);
  });

  test('what was reached before it began stays reached; what is reached afterwards is blocked', () => {
    const blocked = (minute: number) =>
      found(good, { episodes: [episode('hot-joint', 600, 610)], reached: [stageAt('stress', minute)] })[0]?.blocks;
    expect(blocked(600)).toEqual(['hydro']);
    expect(blocked(601)).toEqual(['stress', 'hydro']);
  });
});

describe('a decision', () => {
  const decide = (finding: string, decision: string, recordedMinute: number): Entry =>
    entry({ kind: 'finding.decided', finding, decision, reason: 'looked at it' }, clock(recordedMinute));
  const frozen = (toMinute: number | null) => ({ episodes: [episode('frozen', 30, toMinute, ['p1'])] });
  const [{ id }] = found(good, frozen(90)) as [Finding];

  test('its id stays the same while the finding grows', () => {
    const ids = [60, 90, 5000, null].map((to) => found(good, frozen(to))[0]?.id);
    expect(new Set(ids)).toEqual(new Set([id]));
    expect(id).toBe(`probe-frozen:j1:p1+t${ms(30).toString(36)}`);
  });

  test('accepted when it was over, it is settled; it opens again when it turns out to have gone on', () => {
    const accepted = [...good, decide(id, 'accept', 90)];
    expect(found(accepted, frozen(90))[0]).toMatchObject({ open: false, decision: { decision: 'accept' } });
    expect(found(accepted, frozen(91))[0]).toMatchObject({ open: true });
    expect(found(accepted, frozen(null))[0]).toMatchObject({ open: true });
  });

  test('a stage that was reached when it was accepted stays clear, though it goes on', () => {
    const accepted = [...good, decide(id, 'accept', 700)];
    const reached = [stageAt('stress', 650)];
    expect(found(accepted, { ...frozen(null), reached })[0]).toMatchObject({ open: true, blocks: ['hydro'] });
    expect(found(good, { ...frozen(null), reached })[0]?.blocks).toEqual(['stress', 'hydro']);
  });

  test('it counts from when it was made, not from when it was put on record', () => {
    const accepted = (atMinute: number): Entry =>
      entry({ kind: 'finding.decided', finding: id, decision: 'accept', reason: 'seen', at: clock(atMinute) }, clock(700));
    expect(found([...good, accepted(90)], frozen(90))[0]).toMatchObject({ open: false, decision: { atMs: ms(90) } });
    expect(found([...good, accepted(89)], frozen(90))[0]).toMatchObject({ open: true });
    // Reached between the two: not what was accepted.
    const reached = [stageAt('stress', 650)];
    expect(found([...good, accepted(649)], { ...frozen(null), reached })[0]?.blocks).toEqual(['stress', 'hydro']);
    expect(found([...good, accepted(650)], { ...frozen(null), reached })[0]?.blocks).toEqual(['hydro']);
  });

  test('a warning that was accepted is settled though it goes on', () => {
    const gap = { episodes: [episode('gap', 30, null)] };
    const [open] = found(good, gap);
    expect(found([...good, decide(open?.id ?? '', 'accept', 60)], gap)[0]).toMatchObject({ code: 'gap', open: false });
  });

  test.each([
    ['a passing proof, before the decision', [proof(95, [36], 'firm')], 120, false],
    ['none', [], 120, true],
    ['one from before it was over', [proof(89, [36], 'firm')], 120, true],
    ['one as it ended', [proof(90, [36], 'firm')], 120, false],
    ['one that fails', [proof(95, [35], 'firm')], 120, true],
    ['hardness alone', [proof(95, [40], null)], 120, true],
    ['one that was recorded after the decision', [proof(125, [40], 'firm')], 120, true],
  ])('satisfied by proof, with %s', (_, proofs, decidedMinute, open) => {
    const said = [...good, ...proofs, decide(id, 'proof', decidedMinute)];
    expect(only('probe-frozen', found(said, frozen(90)))[0]?.open).toBe(open);
  });

  test('the newest counts, and one that was taken back never was', () => {
    const accept = decide(id, 'accept', 95);
    const redo = decide(id, 'redo', 96);
    const back = (seq: number) => entry({ kind: 'entry.withdrawn', seq, reason: 'wrong joint' }, clock(97));
    const first = usual.length + good.length + 1;
    expect(found([...good, accept, redo], frozen(90))[0]).toMatchObject({ open: true, decision: { decision: 'redo' } });
    expect(found([...good, accept, redo, back(first + 1)], frozen(90))[0]).toMatchObject({ open: false });
    expect(found([...good, accept, redo, back(first + 1), back(first)], frozen(90))[0]).toMatchObject({
      open: true,
      decision: null,
    });
  });

  test('redo leaves it open until the joint is laid up anew; what had to be done again then has been', () => {
    const rain = { kind: 'rain.noted', at: clock(-30), until: clock(100) };
    const [wet] = found([...good, rain], { gelMs: ms(60) });
    const redo = decide(wet?.id ?? '', 'redo', 70);
    expect(found([...good, rain, redo], { gelMs: ms(60) })[0]).toMatchObject({ open: true, decision: { decision: 'redo' } });
    // Prepared for the new attempt while the same rain was falling: the finding stands again, undecided.
    const again = [prep(90), mix(130), entry({ kind: 'joint.relaid', joint: 'j1', at: clock(140) }, clock(141))];
    expect(found([...good, rain, redo, ...again], { gelMs: ms(170) })).toMatchObject([
      { code: 'rain', open: true, decision: null },
    ]);
  });
});
