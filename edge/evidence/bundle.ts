import { z } from 'zod';
import { Id, Instant, Sha256 } from '../site/said/words.ts';
import type { Subject } from './bearing.ts';

/** A bundle of evidence, format 1: a BagIt bag in a ZIP. These are the files of its payload, by path below `data/`. */
export const FORMAT = 'warmhours-bundle';
export const VERSION = 1;

export const GUIDE = 'READ-ME-FIRST.txt';
export const BUNDLE = 'bundle.json';
export const ENTRIES = 'entries.ndjson';
export const BLOCKS = 'blocks.ndjson';
export const READINGS_CSV = 'readings.csv';
export const READINGS = 'readings.ndjson';
export const RECORD = 'record.json';
export const NOTE = 'checkpoint.note';
export const NOTE_TEXT = 'checkpoint.txt';
export const SIGNATURE = 'checkpoint.sig';
export const SITE_KEY = 'site-key.pem';
export const REPORT = 'report.pdf';
export const PAGE = 'verify.html';

/** Every bundle has these, and beside them its schedules and rate tables. */
export const FILES: readonly string[] = [
  ...[GUIDE, BUNDLE, ENTRIES, BLOCKS, READINGS_CSV, READINGS, RECORD],
  ...[NOTE, NOTE_TEXT, SIGNATURE, SITE_KEY, REPORT, PAGE],
];

export function scheduleFile(name: string, version: number): string {
  return `schedules/${name}-v${version}.json`;
}

export function rateTableFile(sha256: string): string {
  return `rate-tables/${sha256}.json`;
}

/** Whether a file of this name may stand beside `FILES`. */
export function isDerivedFile(name: string): boolean {
  return /^(schedules\/[a-z0-9-]+-v\d+|rate-tables\/[0-9a-f]{64})\.json$/.test(name);
}

/** The top folder of a bundle, which is the name of the file too: the sump, the joint, or how many joints. */
export function folderOf(site: string, { sump, joints }: Subject): string {
  const [joint] = joints;
  const subject = sump ?? (joints.length === 1 && joint !== undefined ? joint : `${joints.length}-joints`);
  return `warmhours-${site}-${subject}`;
}

/** Origin of a site's checkpoints, and the name of its key. */
export function originOf(site: string): string {
  return `warmhours/${site}`;
}

const noRepeats = (names: readonly string[]) => new Set(names).size === names.length;

/** `bundle.json`: what the bundle is. */
export const Bundle = z.strictObject({
  format: z.literal(FORMAT),
  version: z.literal(VERSION),
  site: Id,
  madeAt: Instant,
  /** Name and version of the program that made it. */
  program: z.string().min(1).max(120),
  subject: z.strictObject({ joints: z.array(Id).max(1000).refine(noRepeats, 'a joint is named twice'), sump: Id.nullable() }),
  tree: z.strictObject({ size: z.int().min(1), rootHash: Sha256 }),
  key: z.strictObject({ name: z.string().min(1).max(120), fingerprint: z.string().min(1).max(200) }),
  /** Whether somebody outside the site has counter-signed the checkpoint: never, in this version of the format. */
  anchored: z.literal(false),
});
export type Bundle = z.infer<typeof Bundle>;

const Place = z.int().min(1);
const Proof = z.array(Sha256).max(64);

/** A line of `entries.ndjson`. The leaf is the canonical JSON of `entry`. */
export const EntryLine = z.strictObject({ entry: z.record(z.string(), z.unknown()), proof: Proof, seq: Place });
/** A line of `blocks.ndjson`. The leaf is the block's bytes. */
export const BlockLine = z.strictObject({ block: z.string(), proof: Proof, seq: Place });
