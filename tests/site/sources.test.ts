import fc from 'fast-check';
import { expect, test } from 'vitest';
import { isId } from '../../edge/intake/topics.ts';
import { isImported, probeOfSource, sourceOf } from '../../edge/site/sources.ts';

test('the series of a file is named by its probe and the beginning of its hash, and is no id', () => {
  const id = fc.stringMatching(/^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$/);
  const sha256 = fc.stringMatching(/^[0-9a-f]{64}$/);
  fc.assert(
    fc.property(id, sha256, (probe, hash) => {
      const source = sourceOf(probe, hash);
      expect(source).toBe(`${probe}#${hash.slice(0, 12)}`);
      expect([probeOfSource(source), isImported(source), isId(source)]).toEqual([probe, true, false]);
      expect([probeOfSource(probe), isImported(probe)]).toEqual([probe, false]);
    }),
  );
});
