import { CodedError } from '../../edge/errors.ts';
import { ZIP_LIMITS } from '../../edge/evidence/zip.ts';
import type { BlockPlace } from './ledgerBlocks.ts';

/** Bytes that a reading takes in a packet, in all its forms together, at the very most, without the name of its source … */
const BYTES_A_READING = 280;
/** … which stands in two of them. */
const NAMES_A_READING = 2;
/** Room for everything else. */
const BYTES_BESIDE = 64 * 1024 * 1024;

type Sized = Pick<BlockPlace, 'source' | 'readings'>;

/** What the readings of some blocks may come to in a packet, bytes. */
export function bytesOf(blocks: Iterable<Sized>): number {
  let bytes = 0;
  for (const { readings, source } of blocks) bytes += readings * (BYTES_A_READING + NAMES_A_READING * source.length);
  return bytes;
}

/** Whoever judges a packet unpacks only so much. @throws CodedError `too-large`. */
export function mustFit(blocks: readonly Sized[]): void {
  if (bytesOf(blocks) + BYTES_BESIDE <= ZIP_LIMITS.bytesMost) return;
  const readings = blocks.reduce((sum, block) => sum + block.readings, 0);
  throw new CodedError('too-large', `${readings} readings are more than a packet holds; ask for fewer joints at once`);
}
