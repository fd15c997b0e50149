import fc from 'fast-check';
import { expect, test } from 'vitest';
import { Id } from '../../edge/site/said/words.ts';
import { slugOf } from '../../web/look/slug.ts';

test.each([
  ['Tank 2 fill sump', 'tank-2-fill-sump'],
  ['  Grüne Wanne, Süd  ', 'grune-wanne-sud'],
  ['Éntry boot (north)', 'entry-boot-north'],
  ['<img src=x onerror=alert(1)>', 'img-src-x-onerror-alert-1'],
  ['测试', 'joint'],
  ['', 'joint'],
])('%j becomes %s', (label, slug) => {
  expect(slugOf(label, new Set(), 'joint')).toBe(slug);
});

test('a name that is taken gets the next free number', () => {
  expect(slugOf('Flange', new Set(['flange']), 'joint')).toBe('flange-2');
  expect(slugOf('Flange', new Set(['flange', 'flange-2', 'flange-3']), 'joint')).toBe('flange-4');
});

test('whatever the label, the server takes the identifier and nobody has it yet', () => {
  const label = fc.oneof(
    fc.string({ unit: 'grapheme', maxLength: 200 }),
    fc.constantFrom('a'.repeat(200), `${'a'.repeat(63)}-b`, '---'),
  );
  fc.assert(
    fc.property(fc.array(label, { minLength: 1, maxLength: 12 }), (labels) => {
      const taken = new Set<string>();
      for (const each of [...labels, ...labels]) {
        const slug = slugOf(each, taken, 'sump');
        expect(Id.safeParse(slug).success, slug).toBe(true);
        expect(taken).not.toContain(slug);
        taken.add(slug);
      }
    }),
  );
});
