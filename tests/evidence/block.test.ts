import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Block, decodeBlock, encodeBlock, type StoredReading } from '../../edge/evidence/block.ts';

interface Golden {
  readonly block: Block;
  readonly hex: string;
}

const golden = JSON.parse(readFileSync(join(import.meta.dirname, '..', 'vectors', 'block-format-1.json'), 'utf8')) as Readonly<
  Record<'minutes' | 'one', Golden>
>;

/** Values of sensors that count in steps, sentinels and free ones. */
const values = fc.oneof(
  fc.integer({ min: -960, max: 2000 }).map((sixteenths) => Math.round(sixteenths * 62.5)),
  fc.integer({ min: -60, max: 150 }).map((whole) => whole * 1000),
  fc.constantFrom(0, -1, 85_000, -60_000, 150_000),
  fc.integer({ min: -(2 ** 31), max: 2 ** 31 - 1 }),
);
/** Any whole number of ms that a time can be, and the small ones that clocks really differ by. */
const times = fc.oneof(fc.integer({ min: 0, max: 10_000 }), fc.integer({ min: -(2 ** 43), max: 2 ** 43 }));
const readings = fc
  .array(
    fc.record({
      stepMs: fc.oneof(fc.constant(60_000), fc.integer({ min: 1, max: 2 ** 40 })),
      value: values,
      basis: fc.nat(2),
      arrivalMs: times,
      monoMs: times,
      boot: fc.integer({ min: 1, max: 100_000 }),
    }),
    { minLength: 1, maxLength: 80 },
  )
  .map((steps) => {
    let atMs = Date.UTC(2026, 0, 15);
    return steps.map(({ stepMs, ...rest }): StoredReading => {
      atMs += stepMs;
      return { ...rest, atMs };
    });
  });
const names = fc.stringMatching(/^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$/);
const blocks: fc.Arbitrary<Block> = fc.record({ probe: names, quantity: fc.nat(255), readings });
/** What a steady probe sends for up to an hour: the runs are long and mostly small. */
const steady: fc.Arbitrary<Block> = fc
  .record({
    count: fc.integer({ min: 1, max: 3600 }),
    firstMs: fc.integer({ min: 0, max: 2 ** 42 }),
    swing: fc.nat(300),
    seed: fc.nat(1000),
  })
  .map(({ count, firstMs, swing, seed }) => ({
    probe: 'steady-1',
    quantity: 0,
    readings: Array.from({ length: count }, (_, index): StoredReading => {
      const atMs = firstMs + index * 1000;
      const value = Math.round(Math.round((12 + (swing / 100) * Math.sin((index + seed) / 50)) * 16) * 62.5);
      const lag = 40 + ((index * 7919 + seed) % 30);
      return { atMs, value, basis: 0, arrivalMs: atMs + lag, monoMs: index * 1000 + lag, boot: 3 };
    }),
  }));

describe('a block of readings', () => {
  test('comes back as it went in', () => {
    fc.assert(
      fc.property(fc.oneof(blocks, steady), (block) => {
        expect(decodeBlock(encodeBlock(block))).toEqual(block);
      }),
      { numRuns: 400 },
    );
  });

  test('is refused with a RangeError wherever it is cut off', () => {
    fc.assert(
      fc.property(blocks, (block) => {
        const bytes = encodeBlock(block);
        for (let length = 0; length < bytes.length; length++)
          expect(() => decodeBlock(bytes.subarray(0, length)), `cut to ${length} of ${bytes.length}`).toThrow(RangeError);
      }),
      { numRuns: 40 },
    );
  });

  test('is refused with a RangeError when anything follows it', () => {
    fc.assert(
      fc.property(fc.oneof(blocks, steady), fc.uint8Array({ minLength: 1, maxLength: 4 }), (block, extra) => {
        expect(() => decodeBlock(Buffer.concat([encodeBlock(block), extra]))).toThrow(RangeError);
      }),
    );
  });

  test('is refused when the filling of its last byte is not zero', () => {
    const bytes = Buffer.from(golden.one.hex, 'hex');
    bytes[bytes.length - 1] = (bytes.at(-1) as number) | 1;
    expect(() => decodeBlock(bytes)).toThrow(/filling/);
  });

  test('with any bit turned is refused with a RangeError or reads as something else, never as itself and never for ever', () => {
    const bytes = encodeBlock(golden.minutes.block);
    for (let bit = 0; bit < bytes.length * 8; bit++) {
      const damaged = Uint8Array.from(bytes);
      damaged[bit >> 3] = (damaged[bit >> 3] as number) ^ (0x80 >> (bit & 7));
      try {
        expect(decodeBlock(damaged), `bit ${bit}`).not.toEqual(golden.minutes.block);
      } catch (fault) {
        expect(fault, `bit ${bit}`).toBeInstanceOf(RangeError);
      }
    }
  });

  test.each([
    ['random bytes', fc.uint8Array({ maxLength: 60 })],
    [
      'random bytes after a right beginning',
      fc.uint8Array({ maxLength: 60 }).map((tail) => Uint8Array.of(1, 1, 112, 0, 0, 0, 5, ...tail)),
    ],
  ])('of %s is refused with a RangeError or reads as what it says', (_, bytesArbitrary) => {
    fc.assert(
      fc.property(bytesArbitrary, (bytes) => {
        try {
          const block = decodeBlock(bytes);
          expect(block.readings.length).toBeGreaterThan(0);
        } catch (fault) {
          expect(fault).toBeInstanceOf(RangeError);
        }
      }),
      { numRuns: 2000 },
    );
  });

  test('of more readings than a block may hold is neither written nor believed', () => {
    const of = (count: number): Block => ({
      probe: 'p',
      quantity: 0,
      readings: Array.from({ length: count }, (_, atMs) => ({
        atMs,
        value: 0,
        basis: 0,
        arrivalMs: atMs,
        monoMs: atMs,
        boot: 1,
      })),
    });
    const bytes = encodeBlock(of(10_000));
    expect(decodeBlock(bytes).readings).toHaveLength(10_000);
    expect(bytes.length).toBeLessThan(60);
    expect(() => encodeBlock(of(10_001))).toThrow('a block holds at most 10000 readings');
    // The number stands in three bytes behind format, length of the name, name and quantity.
    bytes.set([0xff, 0xff, 0xff], 4);
    expect(() => decodeBlock(bytes)).toThrow(new RangeError('a block holds at most 10000 readings, not 16777215'));
  });

  test('of another format or an unknown grid is refused by name', () => {
    const bytes = Buffer.from(golden.one.hex, 'hex');
    bytes[0] = 2;
    expect(() => decodeBlock(bytes)).toThrow(/reads block format 1, not 2/);
  });

  test('of a probe that reports sixteenths of a degree every minute takes less than three bytes a reading', () => {
    const readings = Array.from({ length: 60 }, (_, minute): StoredReading => {
      const atMs = Date.UTC(2026, 0, 15, 14) + minute * 60_000;
      const value = Math.round(Math.round((9 + 2 * Math.sin(minute / 20)) * 16) * 62.5);
      const lag = 35 + ((minute * 37) % 30);
      return { atMs, value, basis: 0, arrivalMs: atMs + lag, monoMs: 7_200_000 + minute * 60_000 + lag, boot: 12 };
    });
    expect(encodeBlock({ probe: 'north-entry-1', quantity: 0, readings }).length / 60).toBeLessThan(3);
  });
});

describe('block format 1 as released', () => {
  // These bytes are in ledgers out there: a program that writes or reads others must take another format number.
  test.each(Object.entries(golden))('%s: is written and read byte for byte', (_, { block, hex }) => {
    expect(Buffer.from(encodeBlock(block)).toString('hex')).toBe(hex);
    expect(decodeBlock(Buffer.from(hex, 'hex'))).toEqual(block);
  });

  test('of one reading is what the description says, worked by hand', () => {
    // 8 bits each: format 1, name length 1, "p" (112), quantity 0. 24 bits: one reading. 4 bits: grid 0 (whole thousands).
    const head = '00000001 00000001 01110000 00000000 000000000000000000000001 0000';
    // A signed number: 6 bits for the width of its folded form (twice itself, or twice its size less 1), then that. No differences
    // follow for one reading except an empty run, whose k is 63 since all of its numbers are 0.
    const emptyRun = '111111';
    const folded = (number: bigint) => (number >= 0n ? 2n * number : -2n * number - 1n);
    const signed = (number: bigint) => {
      const digits = number === 0n ? '' : folded(number).toString(2);
      return digits.length.toString(2).padStart(6, '0') + digits;
    };
    const series = (number: bigint) => signed(number) + emptyRun;
    const { readings } = golden.one.block;
    const only = readings[0] ?? expect.fail('the block is empty');
    const bits = [
      head.replaceAll(' ', ''),
      signed(BigInt(only.atMs)),
      series(BigInt(only.value) / 1000n),
      series(BigInt(only.arrivalMs - only.atMs)),
      series(BigInt(only.arrivalMs - only.monoMs)),
      series(BigInt(only.basis)),
      series(BigInt(only.boot)),
    ].join('');
    const padded = bits.padEnd(Math.ceil(bits.length / 8) * 8, '0');
    const bytes = padded.match(/.{8}/g)?.map((byte) => Number.parseInt(byte, 2)) ?? [];
    expect(Buffer.from(bytes).toString('hex')).toBe(golden.one.hex);
  });
});
