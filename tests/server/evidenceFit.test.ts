import { describe, expect, test } from 'vitest';
import { base64Of } from '../../edge/evidence/base64.ts';
import { type Block, encodeBlock } from '../../edge/evidence/block.ts';
import { CSV_LINE_END, csvLine, jsonLine } from '../../edge/evidence/readingsText.ts';
import { QUANTITIES } from '../../edge/site/quantity.ts';
import { bytesOf, mustFit } from '../../server/evidence/fit.ts';
import { siteTimeIn } from '../../server/evidence/siteTime.ts';

const siteTime = siteTimeIn('America/Chicago');

/** A hundred readings of the greatest length, and as unlike each other. */
function longest(quantity: number, source: string): Block {
  const readings = Array.from({ length: 100 }, (_, row) => ({
    atMs: Date.UTC(2026, 0, 1) + row * 33_333 + ((row * 7919) % 30_000),
    value: row % 2 === 0 ? -2_147_483_647 : 2_147_483_641,
    basis: row % 4,
    arrivalMs: Date.UTC(2026, 6, 1) + ((row * 104_729) % 100_000_000),
    monoMs: (row * 1_299_709) % 1_000_000_000,
    boot: 1 + ((row * 31) % 1000),
  }));
  return { probe: source, quantity, readings };
}

describe('what readings may come to in a packet', () => {
  test.each(QUANTITIES.flatMap((quantity) => ['p', `${'n'.repeat(64)}#0123456789ab`].map((source) => [quantity, source])))(
    'is never below what they do: %s of %s',
    (quantity = '', source = '') => {
      const block = longest(QUANTITIES.indexOf(quantity as never), source);
      const bytes = block.readings.reduce(
        (sum, reading) =>
          sum +
          csvLine(block, reading, siteTime(reading.atMs)).length +
          CSV_LINE_END.length +
          jsonLine(block, reading).length +
          1,
        base64Of(encodeBlock(block)).length,
      );
      expect(bytes).toBeLessThan(bytesOf([{ source, readings: block.readings.length }]));
    },
  );

  test('a year of minutes from two probes fits, and two years of four do not', () => {
    const year = (source: string) => ({ source, readings: 525_600 });
    expect(() => mustFit(['north-a', 'north-b'].map(year))).not.toThrow();
    expect(() => mustFit(['a', 'b', 'c', 'd', 'a', 'b', 'c', 'd'].map(year))).toThrow(
      '4204800 readings are more than a packet holds',
    );
  });
});
