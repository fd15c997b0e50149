import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { builtInSchedules } from '../edge/cure/builtIns.ts';
import { FINDING_CODES, RULES } from '../edge/site/findings/catalogue.ts';

const ROOT = join(import.meta.dirname, '..');
const developers = readFileSync(join(ROOT, 'DEVELOPERS.md'), 'utf8');
const section = developers.split(/^## Rules$/m)[1]?.split(/^## /m)[0] ?? '';
const rows = section
  .split('\n')
  .filter((line) => line.startsWith('| ') && !line.startsWith('| rule |'))
  .map((line) => {
    const [rule = '', byDefault = '', source = '', held = ''] = line.slice(2, -2).split(' | ');
    return { rule, byDefault, source, held };
  });

describe('the table of rules in DEVELOPERS.md', () => {
  test('is there', () => expect(rows.length).toBeGreaterThan(40));

  test.each(rows)('$rule: says its default and its source', ({ byDefault, source }) => {
    expect(byDefault.trim()).not.toBe('');
    expect(source.trim()).not.toBe('');
  });

  test.each(rows)('$rule: names a test that is there', ({ held }) => {
    const [, file = '', title = ''] = /^`([^`]+)` › (.{8,})$/.exec(held) ?? [];
    expect(existsSync(join(ROOT, file)), file).toBe(true);
    // In the words of a test's title, not of a comment or a value.
    const titles = [...readFileSync(join(ROOT, file), 'utf8').matchAll(/(?:test|describe)?(?:\.each)?\(\s*'((?:[^'\\]|\\.)+)'/g)];
    expect(titles.some(([, words = '']) => words.includes(title))).toBe(true);
  });

  test('has every finding, with how much it weighs', () => {
    for (const code of FINDING_CODES) {
      const row = rows.find(({ rule }) => rule === `finding \`${code}\``);
      expect(row?.byDefault.split(/[ ;,]/)[0], code).toBe(RULES[code].severity);
    }
  });

  test('has every schedule that is built in', () => {
    for (const { name } of builtInSchedules)
      expect(
        rows.some(({ rule }) => rule.startsWith(`\`${name}\``)),
        name,
      ).toBe(true);
  });
});
