import { createHash } from 'node:crypto';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { HOUR_MS } from '../../edge/cure/schedule.ts';
import { bearsOn } from '../../edge/evidence/bearing.ts';
import { decodeBlock } from '../../edge/evidence/block.ts';
import { parseNote, verifyNote } from '../../edge/evidence/note.ts';
import { EnclosedReadings } from '../../edge/evidence/readings.ts';
import { sealedOf } from '../../edge/evidence/sealed.ts';
import type { Entry } from '../../edge/site/entries.ts';
import { applyEntry } from '../../edge/site/state/apply.ts';
import { emptySite } from '../../edge/site/state/site.ts';
import { about, type HandSite, quality } from '../support/handSite.ts';
import { laidUpOf, mixOf, oneJointSite, prepOf } from './oneJoint.ts';

type Sealed = Extract<Entry, { kind: 'joint.sealed' }>;

const MINUTE_HOURS = 1 / 60;
/** Longer than what came late waits to be sealed again. */
const AGAIN_HOURS = 11 * MINUTE_HOURS;

let site: HandSite;
beforeEach(async () => {
  site = await oneJointSite();
});
afterEach(() => site[Symbol.asyncDispose]());

/** What was sealed so far, each with its place. */
const seals = (): (Sealed & { seq: number })[] =>
  [...site.live.ledger.entries()].flatMap(({ seq, entry }) => (entry.kind === 'joint.sealed' ? { ...entry, seq } : []));
const whys = () => seals().map(({ why, stage }) => [why, stage ?? null]);
/** Some rounds, a moment apart: long enough for all that is due. */
async function rounds(count = 4): Promise<void> {
  for (let round = 0; round < count; round++) {
    site.wait(2 / 3600);
    await site.live.quiet();
  }
}
async function laidUpWell(): Promise<void> {
  await site.say(prepOf(site));
  await site.say(mixOf(site));
  await site.say(laidUpOf(site));
  await site.hear('p1', 'temperature', 15, { from: 0 });
}
async function cured(hours: number): Promise<void> {
  await site.cure(hours, 15, 'p1');
  await rounds();
}
/** One reading between two that are there already, colder than they are. */
const lateReading = (hoursAgo: number) =>
  site.hear('p1', 'temperature', 8, { from: hoursAgo + 2.5 * MINUTE_HOURS, to: hoursAgo + 2.5 * MINUTE_HOURS });
const decide = (finding: string) =>
  site.say({ kind: 'finding.decided', finding, decision: 'accept', reason: 'looked at it' }, quality);

describe('a joint is sealed', () => {
  test('when it clears a stage and when it is done, once each, whatever else happens', async () => {
    await laidUpWell();
    await cured(11.9);
    expect(whys()).toEqual([]);
    await cured(0.3);
    expect(whys()).toEqual([['stage', 'stress']]);
    await cured(11);
    expect(whys()).toHaveLength(1);
    await cured(1);
    await cured(5);
    expect(whys()).toEqual([
      ['stage', 'stress'],
      ['done', 'hydro'],
    ]);
    expect(site.live.state.joints.get('j1')?.seals).toMatchObject([
      { seq: seals()[0]?.seq, why: 'stage', stage: 'stress' },
      { seq: seals()[1]?.seq, why: 'done', stage: 'hydro' },
    ]);
  });

  test('with what the ledger says of it at that time', async () => {
    await laidUpWell();
    const laidUpMs = site.nowMs;
    await cured(12.5);
    const provenMs = laidUpMs + 12.5 * HOUR_MS;
    const lines: string[] = [];
    // As `cure` tells it: every five minutes from the lay-up on, in turn 15 and 15.0625 °C.
    for (let minute = 0; minute <= 750; minute += 5)
      lines.push(`${laidUpMs + minute * 60_000},${minute === 0 ? 15_000 : (750 - minute) % 2 === 0 ? 15_000 : 15_063}\n`);
    const before = [...site.live.ledger.entries()].filter(({ seq }) => seq < (seals()[0]?.seq ?? 0));
    const sha256 = (text: string) => createHash('sha256').update(text).digest('hex');
    expect(before.map(({ entry }) => entry.kind)).toEqual(
      expect.arrayContaining(['boot.started', 'joint.added', 'mix.recorded']),
    );
    expect(seals()).toMatchObject([
      {
        by: { name: 'warmhours', role: 'system' },
        attempt: 1,
        laidUpAt: new Date(laidUpMs).toISOString(),
        provenUntil: new Date(provenMs).toISOString(),
        creditPpmMs: 12.5 * HOUR_MS * 1_000_000,
        rateTableSha256: site.joint('j1').scheduleDetail.rateTableSha256,
        reached: [{ stage: 'stress', reachedAtMs: laidUpMs + 12 * HOUR_MS }],
        lanes: [
          {
            source: 'p1',
            quantity: 'temperature',
            readings: 151,
            firstMs: laidUpMs,
            lastMs: provenMs,
            longestGapMs: 300_000,
            sha256: sha256(lines.join('')),
          },
        ],
        // Of a site with one joint all entries bear on it.
        entries: { count: before.length, sha256: sha256(before.map(({ seq }) => `${seq}\n`).join('')) },
        people: ['R. Oak'],
      },
    ]);
  });

  test('not while a finding blocks the stage, but once that is decided; and again after a further decision', async () => {
    await laidUpWell();
    site.wait(8);
    // A value that never moves.
    await site.hear('p1', 'temperature', 15, { from: 8 });
    await site.hear('p1', 'temperature', about(16), { from: 0, to: 0 });
    await cured(5);
    const [frozen] = site.findings('j1', 'probe-frozen');
    expect(site.joint('j1').stages[0]).toMatchObject({ reachedAt: expect.any(String), clearAt: null });
    await rounds();
    expect(whys()).toEqual([]);
    await decide(frozen?.id ?? '');
    await rounds();
    expect(whys()).toEqual([['stage', 'stress']]);
    expect(seals()[0]?.people).toEqual(['R. Oak', 'Q. Fir']);

    const seq = await decide(frozen?.id ?? '');
    await rounds();
    expect(whys()).toEqual([
      ['stage', 'stress'],
      ['decided', null],
    ]);
    await site.say({ kind: 'entry.withdrawn', seq, reason: 'it was the other joint' }, quality);
    await rounds();
    expect(whys().slice(2)).toEqual([['decided', null]]);
    await rounds(10);
    expect(whys()).toHaveLength(3);
  });

  test('anew for each attempt', async () => {
    await laidUpWell();
    await cured(12.5);
    await site.say({ kind: 'joint.relaid', joint: 'j1', at: site.at(), reason: 'dry spot' });
    await rounds();
    expect(whys()).toHaveLength(1);
    await cured(12.5);
    expect(seals().map(({ attempt, why }) => [attempt, why])).toEqual([
      [1, 'stage'],
      [2, 'stage'],
    ]);
  });
});

describe('what comes late', () => {
  beforeEach(async () => {
    await laidUpWell();
    await cured(13);
  });

  test('is sealed, and the earlier seal stays', async () => {
    const [first] = seals();
    await lateReading(3);
    await rounds();
    const [kept, late] = seals();
    expect(kept).toEqual(first);
    expect(late).toMatchObject({ why: 'late', lanes: [{ readings: 158 }], reached: [{ stage: 'stress' }] });
    expect(late?.creditPpmMs).toBeLessThan(first?.creditPpmMs ?? 0);
    expect(late?.lanes[0]?.sha256).not.toBe(first?.lanes[0]?.sha256);
    expect(late?.entries.count).toBe((first?.entries.count ?? 0) + 1);
    await rounds(10);
    expect(seals()).toHaveLength(2);
  });

  test('is sealed once in ten minutes at most', async () => {
    for (const hoursAgo of [3, 4, 5]) {
      await lateReading(hoursAgo);
      await rounds();
    }
    expect(seals()).toHaveLength(2);
    site.wait(AGAIN_HOURS);
    await rounds();
    expect(seals().map(({ why, lanes }) => [why, lanes[0]?.readings])).toEqual([
      ['stage', 157],
      ['late', 158],
      ['late', 160],
    ]);
  });

  test('that changes nothing that was sealed is not', async () => {
    await cured(2);
    await lateReading(1);
    await rounds();
    site.wait(AGAIN_HOURS);
    await rounds();
    expect(whys()).toEqual([['stage', 'stress']]);
  });

  test('shortly before the program stops is sealed by its next run, which seals nothing else again', async () => {
    await lateReading(3);
    await rounds();
    await lateReading(4);
    await rounds();
    expect(seals()).toHaveLength(2);
    await site.restart();
    await rounds();
    expect(
      seals()
        .map(({ why, lanes }) => [why, lanes[0]?.readings])
        .slice(1),
    ).toEqual([
      ['late', 158],
      ['late', 159],
    ]);
    await site.restart();
    await rounds();
    site.wait(AGAIN_HOURS);
    await rounds();
    expect(seals()).toHaveLength(3);
  });

  test('such as a calibration from an earlier date on, counts as well', async () => {
    const calibration = {
      points: [
        { referenceCelsius: 0, indicatedCelsius: 5 },
        { referenceCelsius: 40, indicatedCelsius: 45 },
      ],
      reference: 'Ice point',
      referenceUncertaintyCelsius: 0.1,
      on: '2026-05-04',
      by: 'Q. Fir',
    };
    await site.say({ kind: 'calibration.recorded', probe: 'p1', at: site.at(5), calibration }, quality);
    await rounds();
    expect(whys().slice(1)).toEqual([['late', null]]);
  });
});

describe('the evidence that is asked for', () => {
  test('is in leaves, sealed and signed for; asked again, nothing is sealed twice', async () => {
    await laidUpWell();
    await cured(3.2);
    const size = await site.live.sealJoint('j1');
    const { ledger, publicKey } = site.live;
    expect(whys()).toEqual([['asked', null]]);
    expect(ledger.hotCount()).toBe(0);
    expect(ledger.tree.size).toBe(size);
    expect(seals()[0]?.seq).toBe(size);
    const note = parseNote(ledger.signed.at(size)?.note ?? '');
    expect(verifyNote(note, 'warmhours/yard', publicKey)).toBe(true);
    expect(await site.live.sealJoint('j1')).toBe(size);
    expect(await Promise.all([site.live.sealJoint('j1'), site.live.sealJoint('j1')])).toEqual([size, size]);

    await cured(0.1);
    expect(await site.live.sealJoint('j1')).toBeGreaterThan(size);
    expect(whys()).toHaveLength(2);
    await site.say({ kind: 'note.added', joint: 'j1', text: 'Blanket on.' });
    await site.live.sealJoint('j1');
    expect(seals().map(({ entries }) => entries.count - (seals()[0]?.entries.count ?? 0))).toEqual([0, 1, 3]);
  });

  test('follows from the leaves before it alone, also with readings that are still on their way', async () => {
    await laidUpWell();
    await cured(12.5);
    await lateReading(2);
    await site.hear('p1', 'temperature', 15, { from: -0.05, to: -0.05 });
    await lateReading(3);
    await site.say({ kind: 'note.added', joint: 'j1', text: 'Blanket on.' });
    const size = await site.live.sealJoint('j1');
    const { ledger } = site.live;
    // The reading whose instant has not come waits, and so does what came after it.
    expect(ledger.hotCount()).toBe(2);
    const newest = seals().at(-1);
    expect(newest).toMatchObject({ why: 'asked', lanes: [{ readings: 152 }] });

    const state = emptySite();
    const said: { seq: number; entry: Entry }[] = [];
    for (const { seq, entry } of ledger.entries()) {
      if (seq >= (newest?.seq ?? 0)) break;
      applyEntry(state, entry, seq);
      said.push({ seq, entry });
    }
    const blocks = [...ledger.leaves()]
      .filter(({ seq, kind }) => seq <= size && kind === 'block')
      .map(({ body }) => decodeBlock(body));
    const bears = bearsOn(state, 'j1');
    const joint = state.joints.get('j1') ?? expect.fail('there is no joint');
    const bearing = said.filter(({ entry, seq }) => bears(entry, seq));
    const again = sealedOf(state, joint, bearing, new EnclosedReadings(blocks), site.nowMs);
    expect(newest).toMatchObject(again);

    // What had to wait is sealed once its turn has come.
    site.wait(AGAIN_HOURS);
    await rounds();
    expect(seals().at(-1)).toMatchObject({ why: 'late', lanes: [{ readings: 154 }] });
  });

  test('tells of a joint that is not laid up what was said of it', async () => {
    await site.say(prepOf(site));
    await site.live.sealJoint('j1');
    expect(seals()).toMatchObject([
      { why: 'asked', attempt: 0, laidUpAt: null, provenUntil: null, creditPpmMs: 0, lanes: [], people: ['R. Oak'] },
    ]);
    expect(seals()[0]?.entries.count).toBeGreaterThan(3);
  });

  test('of several joints comes under one checkpoint', async () => {
    await site.say({ kind: 'joint.added', joint: 'j2', sump: 's1', label: 'Two', schedule: 'polyester-laminate', probes: [] });
    const size = await site.live.sealJoint('j1', 'j2');
    expect(seals().map(({ joint }) => joint)).toEqual(['j1', 'j2']);
    expect(seals().at(-1)?.seq).toBe(size);
  });

  test('is refused for what is not there, and while the time is not known', async () => {
    await expect(site.live.sealJoint('j9')).rejects.toMatchObject({ code: 'not-found' });
    site.clock.trusted = false;
    await expect(site.live.sealJoint('j1')).rejects.toMatchObject({ code: 'clock-not-set' });
    expect(seals()).toEqual([]);
    site.clock.trusted = true;
    site.live.storageFailed(new Error('disk full'));
    await expect(site.live.sealJoint('j1')).rejects.toMatchObject({ code: 'not-recording' });
  });

  test('comes while an hour is being sealed, and neither loses anything by it', async () => {
    await laidUpWell();
    await cured(3.2);
    const [blocks, size] = await Promise.all([site.live.seal(0), site.live.sealJoint('j1')]);
    expect(blocks).toBeGreaterThan(0);
    expect(site.live.ledger.hotCount()).toBe(0);
    expect(site.live.ledger.tree.size).toBe(size);
  });
});

test('no forecast and no warning bears on a joint, so that none is kept for its seals', () => {
  const bears = bearsOn(site.live.state, 'j1');
  const stamp = { recordedAt: site.at(), by: quality };
  const feared: Entry[] = [
    { kind: 'forecast.given', hours: [], source: 'x', ...stamp },
    { kind: 'warning.raised', warning: 'cold-ahead:j1:0', code: 'cold-ahead', owner: 'j1', numbers: {}, ...stamp },
    { kind: 'warning.acknowledged', warning: 'cold-ahead:j1:0', ...stamp },
    { kind: 'warning.snoozed', warning: 'cold-ahead:j1:0', until: site.at(), ...stamp },
    { kind: 'warning.ended', warning: 'cold-ahead:j1:0', ...stamp },
  ];
  expect(feared.filter((entry) => bears(entry, 1000))).toEqual([]);
});
