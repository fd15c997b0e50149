/**
 * A reproducible number in [−1, 1) for a whole `index`: the same seed and index always give the same one, in any order of asking.
 * Integer mixing after the finaliser of MurmurHash3 (A. Appleby, public domain). For simulation only, not for keys.
 */
export function noiseAt(seed: number, index: number): number {
  let mixed = Math.imul(index, 0x9e3779b1) ^ Math.imul(seed + 1, 0x7feb352d);
  mixed = Math.imul(mixed ^ (mixed >>> 16), 0x85ebca6b);
  mixed = Math.imul(mixed ^ (mixed >>> 13), 0xc2b2ae35);
  mixed ^= mixed >>> 16;
  return (mixed >>> 0) / 2 ** 31 - 1;
}
