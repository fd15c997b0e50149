/**
 * Whole numbers as bits, most significant first: the compression inside a block. Rice coding makes small numbers short with
 * nothing to agree on beforehand (Golomb, IEEE Trans. Inf. Theory 12:399–401, 1966; Rice & Plaunt, IEEE Trans. Commun.
 * 19:889–897, 1971). Signed numbers are folded first: 0, −1, 1, −2 … become 0, 1, 2, 3 …
 */

/** Head of a run whose numbers are all 0: nothing follows it. */
const ALL_ZERO = 63;
const WIDEST_K = 40;
/** A number whose upper part would take this many ones is written as that many ones and then plainly. */
const ESCAPE = 24;
const PLAIN_BITS = 54;

/** 2^0 to 2^63 by doubling: what `**` gives in the last bit, ECMA-262 leaves to the engine. */
const POWERS: number[] = [1];
while (POWERS.length < 64) POWERS.push((POWERS.at(-1) as number) * 2);
const power = (exponent: number) => POWERS[exponent] as number;

export class BitWriter {
  #bytes = new Uint8Array(256);
  #bit = 0;

  bit(one: boolean): void {
    const byte = this.#bit >>> 3;
    if (byte === this.#bytes.length) {
      const grown = new Uint8Array(this.#bytes.length * 2);
      grown.set(this.#bytes);
      this.#bytes = grown;
    }
    if (one) this.#bytes[byte] = (this.#bytes[byte] as number) | (0x80 >>> (this.#bit & 7));
    this.#bit++;
  }

  /** A number from 0 to 2^width − 1. */
  plain(value: number, width: number): void {
    for (let place = width - 1; place >= 0; place--) this.bit(Math.floor(value / power(place)) % 2 === 1);
  }

  /** One signed number: 6 bits for its width, then itself, folded. */
  signed(value: number): void {
    const folded = fold(value);
    let width = 0;
    while (power(width) <= folded) width++;
    this.plain(width, 6);
    this.plain(folded, width);
  }

  /** Signed numbers, Rice coded: 6 bits for k, then each with its upper part in unary and its lower k bits plainly. */
  run(values: readonly number[]): void {
    const folded = values.map(fold);
    if (folded.every((number) => number === 0)) {
      this.plain(ALL_ZERO, 6);
      return;
    }
    const k = bestK(folded);
    this.plain(k, 6);
    for (const number of folded) {
      const upper = Math.floor(number / power(k));
      if (upper >= ESCAPE) {
        for (let one = 0; one < ESCAPE; one++) this.bit(true);
        this.plain(number, PLAIN_BITS);
        continue;
      }
      for (let one = 0; one < upper; one++) this.bit(true);
      this.bit(false);
      this.plain(number % power(k), k);
    }
  }

  bytes(): Uint8Array {
    return this.#bytes.slice(0, Math.ceil(this.#bit / 8));
  }
}

/** Reads what `BitWriter` wrote. Throws a RangeError where the bytes end early or hold what nothing writes. */
export class BitReader {
  readonly #bytes: Uint8Array;
  #bit = 0;

  constructor(bytes: Uint8Array) {
    this.#bytes = bytes;
  }

  bit(): boolean {
    const byte = this.#bytes[this.#bit >>> 3];
    if (byte === undefined) throw new RangeError('the block ends early');
    const one = (byte & (0x80 >>> (this.#bit & 7))) !== 0;
    this.#bit++;
    return one;
  }

  plain(width: number): number {
    let value = 0;
    for (let place = 0; place < width; place++) value = value * 2 + (this.bit() ? 1 : 0);
    return value;
  }

  signed(): number {
    return unfold(this.plain(this.plain(6)));
  }

  run(count: number): number[] {
    const k = this.plain(6);
    if (k === ALL_ZERO) return new Array<number>(count).fill(0);
    if (k > WIDEST_K) throw new RangeError(`a run cannot begin with ${k}`);
    const values: number[] = [];
    for (let index = 0; index < count; index++) {
      let upper = 0;
      while (upper < ESCAPE && this.bit()) upper++;
      values.push(unfold(upper === ESCAPE ? this.plain(PLAIN_BITS) : upper * power(k) + this.plain(k)));
    }
    return values;
  }

  /** Throws unless nothing but the zero filling of the last byte is left. */
  end(): void {
    while (this.#bit % 8 !== 0) if (this.bit()) throw new RangeError('the filling of the last byte is not zero');
    if (this.#bit / 8 !== this.#bytes.length) throw new RangeError('the block has more bytes than it should');
  }
}

function fold(value: number): number {
  return value >= 0 ? value * 2 : -value * 2 - 1;
}

function unfold(folded: number): number {
  return folded % 2 === 0 ? folded / 2 : -(folded + 1) / 2;
}

function bestK(folded: readonly number[]): number {
  let best = 0;
  let bestBits = Number.POSITIVE_INFINITY;
  for (let k = 0; k <= WIDEST_K; k++) {
    let bits = 0;
    for (const number of folded) {
      const upper = Math.floor(number / power(k));
      bits += upper >= ESCAPE ? ESCAPE + PLAIN_BITS : upper + 1 + k;
    }
    if (bits < bestBits) {
      bestBits = bits;
      best = k;
    }
  }
  return best;
}
