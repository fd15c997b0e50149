import { expect, test } from 'vitest';
import { FINDING_CODES, RULES } from '../../edge/site/findings/catalogue.ts';
import type { FindingView } from '../../edge/site/views/finding.ts';
import { barTo, choicesOf, inOrder, waits } from '../../web/answer/findings.ts';
import { evidence } from '../../web/text/en/evidence.ts';
import { titleOf } from '../../web/text/en/findingTitles.ts';

const finding = (part: Partial<FindingView>): FindingView => ({
  id: 'gap.j1.t1',
  code: 'gap',
  severity: 'warning',
  sump: 's1',
  joint: 'j1',
  probes: [],
  from: '2026-01-15T10:00:00.000Z',
  to: '2026-01-15T11:00:00.000Z',
  numbers: {},
  words: {},
  blocks: [],
  mayDecide: ['quality', 'admin'],
  provable: false,
  open: true,
  decision: null,
  decisions: [],
  ...part,
});

test('open ones come first, then the heavier, then the newer', () => {
  const all = [
    finding({ id: 'decided', severity: 'stop', open: false }),
    finding({ id: 'note', severity: 'note' }),
    finding({ id: 'old', severity: 'stop', from: '2026-01-14T10:00:00.000Z' }),
    finding({ id: 'warning' }),
    finding({ id: 'new', severity: 'stop' }),
  ];
  expect(inOrder(all).map(({ id }) => id)).toEqual(['new', 'old', 'warning', 'note', 'decided']);
});

test('a note waits for nobody, and nothing that is decided does', () => {
  expect(waits(finding({}))).toBe(true);
  expect(waits(finding({ severity: 'note' }))).toBe(false);
  expect(waits(finding({ severity: 'stop', open: false }))).toBe(false);
});

test('redoing is for what stops a joint, a proof for what it can settle', () => {
  expect(choicesOf(finding({}))).toEqual(['accept']);
  expect(choicesOf(finding({ severity: 'stop' }))).toEqual(['accept', 'redo']);
  expect(choicesOf(finding({ severity: 'stop', joint: null }))).toEqual(['accept']);
  expect(choicesOf(finding({ severity: 'stop', provable: true }))).toEqual(['accept', 'redo', 'proof']);
});

const laidUp = { laidUpAt: '2026-01-15T08:00:00.000Z', proofs: [] };

test('the role bars every decision, going on bars all but redoing', () => {
  const going = finding({ severity: 'stop', to: null, provable: true });
  expect(barTo(going, 'redo', 'crew', laidUp)).toBe('role');
  expect(barTo(going, 'accept', 'quality', laidUp)).toBe('goesOn');
  expect(barTo(going, 'proof', 'quality', laidUp)).toBe('goesOn');
  expect(barTo(going, 'redo', 'quality', laidUp)).toBeNull();
  expect(barTo(finding({ to: null }), 'accept', 'quality', laidUp), 'a warning may be accepted while it goes on').toBeNull();
});

test('nothing is redone before it is laid up, and only a passing proof taken afterwards settles', () => {
  const ended = finding({ severity: 'stop', provable: true });
  expect(barTo(ended, 'redo', 'admin', { ...laidUp, laidUpAt: null })).toBe('notLaidUp');
  const proof = (verdict: 'pass' | 'fail', at: string) => ({ ...laidUp, proofs: [{ seq: 9, at, by: 'Sam', verdict }] });
  const settled = (...taken: Parameters<typeof proof>) => barTo(ended, 'proof', 'admin', proof(...taken));
  expect(barTo(ended, 'proof', 'admin', laidUp)).toBe('noProof');
  expect(settled('pass', '2026-01-15T10:59:59.999Z')).toBe('noProof');
  expect(settled('fail', '2026-01-15T12:00:00.000Z')).toBe('noProof');
  expect(settled('pass', '2026-01-15T11:00:00.000Z')).toBeNull();
  expect(barTo(ended, 'accept', 'admin', null)).toBeNull();
});

test('every code has a title of its own, a sentence and something to do', () => {
  const titles = FINDING_CODES.map((code) => titleOf[code]);
  expect(new Set(titles).size).toBe(FINDING_CODES.length);
  for (const code of Object.keys(RULES) as (keyof typeof RULES)[]) {
    const { said, todo } = evidence[code];
    const asked: string[] = [];
    const sentence = said((name) => {
      asked.push(name);
      return `[${name}]`;
    });
    expect(sentence, code).toMatch(/[.]$/);
    for (const name of asked) expect(sentence, code).toContain(`[${name}]`);
    expect(todo, code).toMatch(/[.?]$/);
  }
});
