import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type Paper, type ReportInput, renderReport } from '../../server/evidence/report/report.ts';
import { HandSite, quality } from '../support/handSite.ts';
import { BEFORE_THE_CHANGE_MS, LONG, nightSite, Printed, sealedInput, WRONG_NOTE, waterTests, ZONE } from './reportSite.ts';

let site: HandSite;
let input: ReportInput;
let both: ReportInput;
let printed: Printed;

beforeAll(async () => {
  site = await HandSite.start(BEFORE_THE_CHANGE_MS);
  await nightSite(site);
  const gap = site.joint('j1').findings.find(({ code }) => code === 'gap');
  const decide = (reason: string) => site.say({ kind: 'finding.decided', finding: gap?.id, decision: 'accept', reason }, quality);
  const taken = await decide('Somebody pulled the plug');
  await site.say({ kind: 'entry.withdrawn', seq: taken, reason: 'It was the radio' }, quality);
  await decide(LONG);
  await waterTests(site);
  const [early] = site.sump('s1').findings;
  await site.say({ kind: 'finding.decided', finding: early?.id, decision: 'accept', reason: 'j2 is dry-fitted only' }, quality);
  input = await sealedInput(site, 'j1');
  both = await sealedInput(site, 'j1', 'j2');
  printed = await Printed.of(input);
}, 60_000);
afterAll(async () => {
  printed[Symbol.dispose]();
  await site[Symbol.asyncDispose]();
});

describe('the first page', () => {
  test('names what was cured, where, by which rules and by whom', () => {
    const page = printed.text(1);
    for (const words of [
      ...['SN-4711', 'Mill lane (yard)', 'Base laminate (j1) in North sump (s1)'],
      ...['Polyester laminate (polyester-laminate), version 1', '10 °C (50 °F)', 'common practice, no source'],
      ...['R-1, resin (Drum 1)', 'Q. Fir (quality)', ZONE],
    ])
      expect(page).toContain(words);
  });

  test('has each stage with the reading that proved it, to the second and with its offset', () => {
    const page = printed.text(1);
    const stages = input.joints[0]?.view.stages ?? [];
    expect(stages.map(({ stage }) => stage)).toEqual(['stress', 'hydro']);
    for (const { reachedAt, provenBy } of stages) {
      // The whole night after the change lies six hours behind UTC.
      const local = (ms: number) => new Date(ms - 6 * 3_600_000).toISOString().slice(0, 19).replace('T', ' ');
      expect(page).toContain(`${local(Math.ceil(Date.parse(reachedAt ?? '') / 1000) * 1000)} -06:00`);
      expect(page).toContain(`${local(Date.parse(provenBy?.at ?? ''))} -06:00`);
    }
    expect(page).toMatch(/probe p1, 1[12]\.\d °C \(5\d\.\d °F\)/);
  });

  test('has hours of every kind, and they make up the time since lay-up', () => {
    const { hours } = input.joints[0] ?? {};
    // The colder end counts up to the first warm reading.
    expect(hours).toMatchObject({ coldMs: 2 * 3_600_000 + 300_000, settledMs: 32.5 * 3_600_000 });
    // From the last reading before the silence to the first one after it.
    expect(hours?.unprovenMs).toBe(3_600_000);
    const page = printed.text(1);
    expect(page).toContain('Warm hours Taken off for cold Too cold, not credited Without proof, not credited');
    const figures = /(\d+\.\d\d) h (\d+\.\d\d) h 2\.08 h 1\.00 h 32\.50 h/.exec(page);
    expect(Number(figures?.[1]) + Number(figures?.[2]) + 3.08).toBeCloseTo(32.5, 1);
  });

  test('has both water tests, the newest first, and the findings, what is undecided first', () => {
    const page = printed.text(1);
    expect(page.indexOf('Test 2 of 2: passed')).toBeGreaterThan(0);
    expect(page.indexOf('Test 1 of 2: failed')).toBeGreaterThan(page.indexOf('Test 2 of 2: passed'));
    expect(page).toContain('By hand: fell by 4.763 mm (0.188 in)');
    expect(page).toContain('Started before its time (on the sump)');
    expect(page).toContain('1 finding waits for a decision.');
    expect(page).toContain('Open: nobody has decided.');
    expect(page).toContain('2 more findings, none of them undecided: all stand under “Findings in full”.');
  });

  test('has who decided on a finding, when and why, as far as there is room', async () => {
    using decided = await Printed.of({ ...input, sumps: input.sumps.map((sump) => ({ ...sump, findings: [] })) });
    const page = decided.text(1);
    expect(page).toContain('Time without readings Warning; 2026-11-01 01:30:00 -06:00 to 02:30:00 -06:00');
    expect(page).toMatch(/Accepted by Q\. Fir \(quality\), 2026-11-02 \d\d:\d\d:\d\d -06:00\. “w0 w1 .* … \(in full below\)”/);
  });

  test('says what was signed, and that nobody outside has anchored it', () => {
    const { size, rootHash, fingerprint } = input.sealed;
    const key = fingerprint.replaceAll(' ', '');
    const page = printed.text(1).replaceAll(' ', '');
    for (const half of [rootHash.slice(0, 32), rootHash.slice(32), key.slice(0, 32), key.slice(32)]) expect(page).toContain(half);
    expect(page).toContain(`over${size}leaves`);
    expect(printed.text(1)).toContain('Signed, not yet anchored outside the site.');
    expect(printed.alternatives()).toContain(`QR code: warmhours-checkpoint:v1:yard:${size}:${rootHash}:${key}`);
  });
});

describe('what stands behind it', () => {
  test('every page names the time zone and what the signature is worth', () => {
    const pages = Number(printed.info().Pages);
    expect(pages).toBeGreaterThan(2);
    for (let page = 1; page <= pages; page++) {
      expect(printed.text(page)).toContain(ZONE);
      expect(printed.text(page)).toContain('Signed, not yet anchored outside the site.');
      expect(printed.text(page)).toContain(`Page ${page} of ${pages}`);
    }
  });

  test('the hour that comes twice can be told apart', () => {
    const text = printed.text();
    expect(text).toContain('2026-11-01 01:30:00 -05:00');
    expect(text).toContain('2026-11-01 01:30:00 -06:00');
  });

  test('a reason of any length is there to its last word, over however many pages', () => {
    const words = new Set(printed.text().split(/[^0-9A-Za-z]+/));
    expect(LONG.split(' ').filter((word) => !words.has(word))).toEqual([]);
  });

  test('what was taken back is there, with who took it back, when and why', () => {
    const text = printed.text();
    expect(text).toContain(WRONG_NOTE);
    expect(text).toMatch(/Taken back by Q\. Fir, 2026-11-01 01:30:00 -06:00 \(entry \d+\): I stood at the wrong pit/);
    expect(text).toContain('accept · Somebody pulled the plug Taken back by Q. Fir, 2026-11-02 05:31:01 -06:00: It was the');
    expect(text).toMatch(/Somebody pulled the plug Taken back by Q\. Fir, [^()]+ -06:00 \(entry \d+\): It was the radio/);
  });

  test('and it is struck through', async () => {
    const standing: ReportInput = { ...input, entries: input.entries.map((line) => ({ ...line, withdrawn: null })) };
    using plain = await Printed.of(standing);
    const strokes = ({ drawing }: { drawing: string }) => drawing.match(/^S$/gm)?.length ?? 0;
    const [struck, not] = [printed, plain].map((one) => strokes({ drawing: one.drawing() }));
    // A note and a decision, each with its time, its author, its title and what it says.
    expect((struck ?? 0) - (not ?? 0)).toBeGreaterThanOrEqual(8);
  });

  test('a name in another script stands as its numbers, never as other signs, and a line says so', () => {
    const text = printed.text();
    expect(text).toContain('[U+0416 U+0430 U+043D U+043D U+0430] [U+0418');
    expect(text).toContain('stand as their Unicode numbers in square brackets');
  });

  test('spans without credit, instruments with their calibration, and the limits of the rules', () => {
    const text = printed.text();
    for (const words of [
      ...['Too cold: no credit', 'No proof: no credit'],
      ...['ice and thermometer 7', '±0.5 °C (0.9 °F)', 'showed 0.2 °C (32.4 °F) at 0.0 °C (32.0 °F)', 'next due 2027-10-30'],
      ...['below 5 °C (41 °F), or with no reading for more than 15 min', 'activation energy of 60 kJ/mol'],
      ...['cold resin can stop short of full cure', 'It does not prove that a probe sat where it should'],
      ...['This is advice from counted hours. A person checks the joint and releases the work.'],
    ])
      expect(text).toContain(words);
  });

  test('all entries that bear on the joint, under their places in the ledger', () => {
    const text = printed.text();
    expect(input.entries.length).toBeGreaterThan(20);
    expect(text).toContain('All entries');
    for (const said of [
      'half past one, the first time',
      '2 quarts of resin',
      'Sealed: the evidence was asked for',
      'Work begun before its time',
    ])
      expect(text).toContain(said);
    expect(text, 'of the other joint nothing was asked').not.toContain('Upper laminate');
  });
});

describe('the file', () => {
  test('is sound, tagged, named, in a language, and has no picture: all of it is text and lines', () => {
    expect(printed.check()).toContain('No syntax or stream encoding errors found');
    expect(printed.info()).toMatchObject({
      Title: 'Cure record of joint j1, site yard',
      Tagged: 'yes',
      Creator: 'Warmhours',
      'Page size': '612 x 792 pts (letter)',
    });
    expect(printed.drawing()).toContain('/Lang (en-US)');
    expect(printed.images()).toBe(0);
  });

  test('has headings, paragraphs, tables with heads, and figures with words for who cannot see them', () => {
    const structure = printed.structure();
    for (const tag of ['H1', 'H2', 'P', 'Table', 'TR', 'TH', 'TD', 'Figure'])
      expect(structure).toMatch(new RegExp(`^\\s*${tag}\\b`, 'm'));
    expect(printed.alternatives().join()).toMatch(
      /Chart of Base laminate\. From 2026-10-31 21:00:00 -05:00 .* Rim: 2\.8 °C \(37\.1 °F\) to 18\.\d °C .* Not credited: 2\.1 h too cold, 1\.0 h without proof\./,
    );
  });

  test('has bookmarks for its chapters', () => {
    expect(printed.bookmarks()).toEqual([
      {
        title: 'Base laminate, North sump',
        kids: ['Work on this attempt', 'Findings in full', 'Spans that earned nothing', 'How the hours are counted'],
      },
      { title: 'Instruments', kids: ['Water tests of North sump'] },
      { title: 'All entries', kids: [] },
      { title: 'What this proves, and what not', kids: [] },
    ]);
  });

  test.each([
    ['letter', '612 x 792 pts (letter)'],
    ['a4', '595.28 x 841.89 pts (A4)'],
  ] as const)('on %s, of several joints, a chapter each after an overview', async (paper: Paper, size) => {
    using several = await Printed.of(both, paper);
    expect(several.check()).toContain('No syntax or stream encoding errors found');
    expect(several.info()['Page size']).toBe(size);
    expect(several.bookmarks().map(({ title }) => title)).toEqual([
      'Overview',
      'Base laminate, North sump',
      'Upper laminate, North sump',
      'Instruments',
      'All entries',
      'What this proves, and what not',
    ]);
    const page = several.text(1);
    for (const words of [
      'Cure record of 2 joints',
      'SN-4711',
      'Ready for water test',
      'Planned',
      'Test 2 of 2: passed',
      'not yet anchored',
    ])
      expect(page).toContain(words);
    expect(several.text()).toContain('Not laid up yet.');
  });

  test('is the same to the last byte for the same input, which is plain data', async () => {
    const copy = JSON.parse(JSON.stringify(input)) as ReportInput;
    expect(copy).toEqual(input);
    expect(Buffer.compare(await renderReport(copy, 'letter'), printed.bytes)).toBe(0);
    const later = { ...input, sealed: { ...input.sealed, madeAt: '2030-01-01T00:00:00.000Z' } };
    expect(Buffer.compare(await renderReport(later, 'letter'), printed.bytes)).not.toBe(0);
  });
});
