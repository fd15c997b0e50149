import type { FindingCode } from './catalogue.ts';

/** Parts of an id are joined by what no name of a joint, sump or probe can hold. */
const PART = ':';

/** `owner` is the joint, or the sump of a finding on a sump as a whole. */
export function findingId(code: FindingCode, owner: string, anchor: string): string {
  return [code, owner, anchor].join(PART);
}

/** The joint or sump that a finding with this id is on. */
export function ownerOf(id: string): string {
  return id.split(PART)[1] ?? '';
}
