import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { FINDING_CODES, RULES } from '../../edge/site/findings/catalogue.ts';
import type { FindingView } from '../../edge/site/views/finding.ts';
import type { JointInput } from '../../server/evidence/report/input.ts';
import { type ReportInput, renderReport } from '../../server/evidence/report/report.ts';
import { evidence } from '../../web/text/en/evidence.ts';
import { titleOf } from '../../web/text/en/findingTitles.ts';
import { about, HandSite, quality } from '../support/handSite.ts';
import { oneJointSite } from '../tally/oneJoint.ts';
import { Printed, sealedInput } from './reportSite.ts';

let site: HandSite;
let input: ReportInput;

beforeAll(async () => {
  site = await oneJointSite();
  await site.hear('p1', 'temperature', about(16), { from: 0.2 });
  await site.say({ kind: 'joint.laidUp', joint: 'j1', at: site.at() });
  await site.cure(3, 16, 'p1');
  input = await sealedInput(site, 'j1');
});
afterAll(async () => site[Symbol.asyncDispose]());

function withJoint(change: (joint: JointInput) => Partial<JointInput>): ReportInput {
  return { ...input, joints: input.joints.map((joint) => ({ ...joint, ...change(joint) })) };
}

describe('a joint that is not done', () => {
  test('says what is missing', async () => {
    using printed = await Printed.of(input);
    const page = printed.text(1);
    expect(page).toContain('Stress: 9.00 h of warm hours missing. Water test: 21.00 h of warm hours missing.');
    expect(page).toContain('Surface not signed for');
    expect(page).toContain('Water test: none on record.');
    expect(page).toContain('Serial none given');
    expect(page).toContain('Times: UTC, with offset from UTC.');
  });

  test('nothing laid up: no hours, no chart, and a page all the same', async () => {
    await using bare = await HandSite.start(Date.parse('2026-05-04T08:00:00Z'));
    await bare.say({ kind: 'sump.added', sump: 's1', label: 'North' });
    await bare.say({ kind: 'joint.added', joint: 'j1', sump: 's1', label: 'One', schedule: 'sealant-bead', probes: [] });
    using printed = await Printed.of(await sealedInput(bare, 'j1'), 'a4');
    expect(printed.check()).toContain('No syntax or stream encoding errors found');
    expect(printed.alternatives().filter((words) => words.startsWith('Chart'))).toEqual([]);
    const text = printed.text();
    for (const words of [
      'Planned.',
      'Not laid up yet.',
      'not reached',
      'slows with the square root of time',
      'No probe was named.',
    ])
      expect(text).toContain(words);
  });

  test('to be done again: says who decided, and releases nothing', async () => {
    const redo = { seq: 9, by: 'Q. Fir', role: 'quality', at: '2026-05-04T10:00:00.000Z', reason: 'wet glass' };
    const redone = withJoint(({ view }) => ({ view: { ...view, redo, phase: 'void' } }));
    using printed = await Printed.of(redone);
    expect(printed.text(1)).toContain('To be done again: Q. Fir (quality) decided so, 2026-05-04 10:00:00 +00:00: “wet glass”');
  });

  test('counter-signed outside: the other words, on no page the first ones', async () => {
    using printed = await Printed.of({ ...input, sealed: { ...input.sealed, anchored: true } });
    expect(printed.text(1)).toContain('Signed, and counter-signed outside the site.');
    expect(printed.text()).not.toContain('not yet anchored');
  });
});

/** A finding with every piece of evidence that its sentence asks for. */
function findingOf(code: FindingView['code']): FindingView {
  const asked: string[] = [];
  evidence[code].said((name) => String(asked.push(...name.split('|'))));
  const isNumber = (name: string) => /(Ms|illiC|Hundredths|count|illiPercent\w*|milliVolts)$/.test(name);
  const { severity, mayDecide, provable } = RULES[code];
  return {
    id: `${code}:j1:x`,
    ...{ code, severity, provable, mayDecide: [...mayDecide] },
    ...{ sump: 's1', joint: 'j1', probes: ['p1'], blocks: severity === 'stop' ? ['stress', 'hydro'] : [] },
    ...{ from: '2026-05-04T08:30:00.000Z', to: null, open: true, decision: null, decisions: [] },
    numbers: Object.fromEntries(asked.filter(isNumber).map((name) => [name, 12_340])),
    words: Object.fromEntries(asked.filter((name) => !isNumber(name)).map((name) => [name, `evidence-${name}`])),
  };
}

describe('findings', () => {
  test('of every kind are told in words, with all of their evidence', async () => {
    const findings = FINDING_CODES.map(findingOf);
    using printed = await Printed.of(withJoint(({ view }) => ({ view: { ...view, findings } })));
    expect(printed.check()).toContain('No syntax or stream encoding errors found');
    const text = printed.text();
    for (const { code, words, numbers } of findings) {
      expect(text).toContain(titleOf[code]);
      for (const [name, word] of Object.entries(words)) if (name !== 'stages') expect(text, name).toContain(word);
      if (Object.keys(numbers).some((name) => /illiC$/.test(name))) expect(text).toMatch(/12\.34? °C/);
    }
    expect(text).not.toMatch(/undefined|NaN|not given|\[object/);
  });

  test('more than the first page has room for leave it one page, and are all counted', async () => {
    const findings = FINDING_CODES.map(findingOf);
    using printed = await Printed.of(withJoint(({ view }) => ({ view: { ...view, findings } })));
    const page = printed.text(1);
    const more = Number(/(\d+) more findings/.exec(page)?.[1]);
    const shown = page.match(/Open: nobody has decided|A note: nobody has to decide/g)?.length ?? 0;
    expect(shown).toBeGreaterThan(0);
    expect(more + shown).toBe(FINDING_CODES.length);
    expect(page).toContain('A person checks the joint and releases the work.');
  });
});

describe('long text', () => {
  test('one word of two thousand letters is cut into lines, and none is lost', async () => {
    const entries = input.entries.map((line) =>
      line.entry.kind === 'joint.laidUp' ? { ...line, entry: { ...line.entry, note: 'Q'.repeat(2000) } } : line,
    );
    using printed = await Printed.of({ ...input, entries });
    using before = await Printed.of(input);
    const letters = (text: string) => text.split('Q').length;
    expect(letters(printed.text()) - letters(before.text())).toBe(2000);
  });

  test('more people than a page has room for, in a script that takes more: the signature stays on the first page', async () => {
    const people = Array.from({ length: 40 }, (_, index) => ({ name: `${'Ж'.repeat(30)}${index}`, roles: ['crew'] }));
    using printed = await Printed.of(withJoint(() => ({ people })));
    expect(printed.check()).toContain('No syntax or stream encoding errors found');
    expect(printed.text(1)).toContain('Signed, not yet anchored outside the site. Root of the hash tree');
    expect(printed.text().match(/\[U\+0416( U\+0416)+\]39 \(crew\)/g)).toHaveLength(1);
  });

  test('a table that breaks over pages has its head on each', async () => {
    const notes = Array.from({ length: 120 }, (_, index) => ({
      seq: 1000 + index,
      withdrawn: null,
      entry: {
        kind: 'note.added' as const,
        text: `note number ${index}`,
        joint: 'j1',
        recordedAt: '2026-05-04T09:00:00.000Z',
        by: quality,
      },
    }));
    using printed = await Printed.of({ ...input, entries: [...input.entries, ...notes] });
    const text = printed.text();
    const heads = text.match(/Entry When Who What/g)?.length ?? 0;
    expect(heads).toBeGreaterThan(2);
    for (const { entry } of notes) expect(text).toContain(entry.text);
    expect(printed.structure().match(/TH "Entry":\s+\/Scope \/Column\s+TH "When"/g), 'to a reader it is one table').toHaveLength(
      1,
    );
  });
});

describe('the chart', () => {
  const joined = withJointHistory((points) => points);
  function withJointHistory(change: (points: [number, number | null][]) => [number, number | null][]): () => ReportInput {
    return () =>
      withJoint(({ history }) => ({
        history: history && {
          ...history,
          series: history.series.map((line) => ({ ...line, points: change(line.points) })),
        },
      }));
  }
  const moves = async (made: ReportInput) => {
    using printed = await Printed.of(made);
    const drawing = printed.drawing();
    return { starts: drawing.match(/ m$/gm)?.length ?? 0, lines: drawing.match(/ l$/gm)?.length ?? 0 };
  };

  test('a gap in the readings stays a gap in the line', async () => {
    const whole = await moves(joined());
    const broken = await moves(
      withJointHistory((points) => {
        const middle = Math.floor(points.length / 2);
        return [...points.slice(0, middle), [(points[middle]?.[0] ?? 0) - 1, null], ...points.slice(middle)];
      })(),
    );
    expect(broken.starts - whole.starts, 'the pen is lifted once more').toBe(1);
  });

  test('every reading that is handed in is a point of the line', async () => {
    const [line] = input.joints[0]?.history?.series ?? [];
    const all = await moves(joined());
    const half = await moves(withJointHistory((points) => points.filter((_, index) => index % 2 === 0))());
    expect(all.lines - half.lines).toBe(Math.floor((line?.points.length ?? 0) / 2));
  });
});

test('ten days at a reading a minute from three probes stay small', async () => {
  await using long = await HandSite.start(Date.parse('2026-05-04T08:00:00Z'));
  await long.say({ kind: 'sump.added', sump: 's1', label: 'North' });
  const probes = ['p1', 'p2', 'p3'];
  for (const probe of probes) await long.say({ kind: 'probe.registered', probe, role: 'material' });
  await long.say({ kind: 'joint.added', joint: 'j1', sump: 's1', label: 'One', schedule: 'polyester-laminate', probes });
  await long.say({ kind: 'joint.laidUp', joint: 'j1', at: long.at() });
  long.clock.advance(240 * 3_600_000);
  // Too cold for nine days, so that the chart spans them all.
  for (const [index, probe] of probes.entries())
    await long.hear(probe, 'temperature', (hour) => (hour < -24 ? 4 : 14) + index / 2 + Math.sin(hour) / 2, {
      from: 240,
      everyMinutes: 1,
    });
  const made = await sealedInput(long, 'j1');
  expect(made.joints[0]?.seals.at(-1)?.lanes.map(({ readings }) => readings)).toEqual([14_401, 14_401, 14_401]);
  const bytes = await renderReport(made, 'letter');
  expect(bytes.length).toBeLessThan(300_000);
}, 60_000);
