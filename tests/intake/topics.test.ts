import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { isId, parseProbeTopic, probeTopic, stateTopic } from '../../edge/intake/topics.ts';
import { Id } from '../../edge/site/said/words.ts';

const id = fc.stringMatching(/^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$/);

describe('ids in topics', () => {
  test('are those that ledger entries may hold, no more and no less', () => {
    const near = fc.string({
      unit: fc.constantFrom('a', 'Z', '7', '.', '_', '-', '/', '+', '#', ' ', '\n', 'é', '\u0000'),
      maxLength: 66,
    });
    fc.assert(
      fc.property(fc.oneof(id, near, fc.string()), (text) => {
        expect(isId(text)).toBe(Id.safeParse(text).success);
      }),
    );
  });

  test.each([
    ['p1', true],
    ['P-1_a.b', true],
    ['7', true],
    ['a'.repeat(64), true],
    ['a'.repeat(65), false],
    ['', false],
    ['-a', false],
    ['.', false],
    ['a/b', false],
    ['a+', false],
    ['#', false],
    ['a b', false],
    ['a\n', false],
    ['é', false],
  ])('%j: %s', (text, expected) => {
    expect(isId(text)).toBe(expected);
  });
});

describe('probe topics', () => {
  test('what is built is read back', () => {
    fc.assert(
      fc.property(id, id, fc.constantFrom('senml' as const, 'status' as const), (site, probe, leaf) => {
        expect(parseProbeTopic(probeTopic(site, probe, leaf), site)).toEqual({ probe, leaf });
      }),
    );
  });

  test('stand as the public contract has them', () => {
    expect(probeTopic('north', 'p1', 'senml')).toBe('cure/north/probe/p1/senml');
    expect(probeTopic('north', 'p1', 'status')).toBe('cure/north/probe/p1/status');
    expect(stateTopic('north', 'joint', 'j1')).toBe('cure/north/joint/j1/state');
    expect(stateTopic('north', 'sump', 's1')).toBe('cure/north/sump/s1/state');
  });

  test.each([
    ['another site', 'cure/south/probe/p1/senml'],
    ['a site that only begins alike', 'cure/north2/probe/p1/senml'],
    ['another leaf', 'cure/north/probe/p1/state'],
    ['a leaf that only begins alike', 'cure/north/probe/p1/senml2'],
    ['a deeper topic', 'cure/north/probe/p1/senml/x'],
    ['no leaf', 'cure/north/probe/p1'],
    ['an empty leaf', 'cure/north/probe/p1/'],
    ['no probe', 'cure/north/probe//senml'],
    ['a probe that is no id', 'cure/north/probe/-p/senml'],
    ['a wildcard', 'cure/north/probe/+/senml'],
    ['a leading slash', '/cure/north/probe/p1/senml'],
    ['another root', 'heal/north/probe/p1/senml'],
    ['a joint', 'cure/north/joint/p1/senml'],
    ['nothing', ''],
  ])('%s is no probe topic of this site', (_, topic) => {
    expect(parseProbeTopic(topic, 'north')).toBeNull();
  });

  test('none is built from what is no id', () => {
    expect(() => probeTopic('north', 'a/b', 'senml')).toThrow(/"a\/b" cannot stand in a topic/);
    expect(() => probeTopic('+', 'a', 'senml')).toThrow(/"\+" cannot stand in a topic/);
    expect(() => stateTopic('north', 'joint', '#')).toThrow(/"#" cannot stand in a topic/);
    expect(() => stateTopic('', 'sump', 's1')).toThrow(/"" cannot stand in a topic/);
  });
});
