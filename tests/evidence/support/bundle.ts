import { ed25519 } from '@noble/curves/ed25519.js';
import { bytesToHex } from '@noble/hashes/utils.js';
import { zipSync } from 'fflate';
import {
  BAG_DECLARATION,
  BAG_INFO,
  DECLARATION,
  oxumOf,
  PAYLOAD,
  PAYLOAD_MANIFEST,
  TAG_MANIFEST,
} from '../../../edge/evidence/bagit.ts';
import { base64Of } from '../../../edge/evidence/base64.ts';
import { bearsOnSubject, probesOf, type Subject } from '../../../edge/evidence/bearing.ts';
import * as names from '../../../edge/evidence/bundle.ts';
import { canonicalJson, sha256Hex } from '../../../edge/evidence/canonical.ts';
import { checkpointText } from '../../../edge/evidence/checkpoint.ts';
import { leafHash } from '../../../edge/evidence/leaf.ts';
import { inclusionProof, rootOf } from '../../../edge/evidence/merkle.ts';
import { noteOf } from '../../../edge/evidence/note.ts';
import { EnclosedReadings } from '../../../edge/evidence/readings.ts';
import { CSV_HEAD, CSV_LINE_END, csvLine, jsonLine } from '../../../edge/evidence/readingsText.ts';
import { recordOf } from '../../../edge/evidence/record.ts';
import { fingerprint, spkiPem } from '../../../edge/evidence/siteKey.ts';
import { probeOfSource } from '../../../edge/site/sources.ts';
import { clock } from '../../site/work.ts';
import { ms, type Yard } from './yard.ts';

export type Files = Map<string, Uint8Array<ArrayBufferLike>>;

const SITE = 'north';
export const secretKey: Uint8Array = new Uint8Array(32).fill(7);
export const publicKey = ed25519.getPublicKey(secretKey);

const utf8 = (text: string) => new TextEncoder().encode(text);
export const textOf = (bytes: Uint8Array | undefined) => new TextDecoder().decode(bytes);

/** The site's checkpoint over a whole yard, signed, in all the forms that a bundle has. */
export function checkpointFiles(leafHashes: readonly Uint8Array[], minute: number, key = secretKey): Files {
  const origin = names.originOf(SITE);
  const own = ed25519.getPublicKey(key);
  const text = checkpointText({
    origin,
    size: leafHashes.length,
    rootHash: rootOf(leafHashes),
    extensions: [`time ${clock(minute)}`],
  });
  const signature = ed25519.sign(utf8(text), key);
  return new Map([
    [names.NOTE, utf8(noteOf(text, origin, own, signature))],
    [names.NOTE_TEXT, utf8(text)],
    [names.SIGNATURE, signature],
    [names.SITE_KEY, utf8(spkiPem(own))],
  ]);
}

interface Making {
  readonly subject?: Subject;
  readonly minute?: number;
  readonly key?: Uint8Array;
}

/** The payload of a bundle of a yard, as whoever packs one makes it. */
export function payloadOf(
  yard: Yard,
  { subject = { joints: ['j1'], sump: null }, minute = 130, key = secretKey }: Making = {},
): Files {
  const hashes = yard.leaves.map((_, index) => leafHash(yard.bytesOf(index + 1)));
  const proofOf = (seq: number) => inclusionProof(hashes, seq - 1).map(bytesToHex);
  const bears = bearsOnSubject(yard.site, subject);
  const probes = probesOf(yard.site, subject);
  const entries = yard.entries.filter(({ entry, seq }) => bears(entry, seq));
  const blocks = yard.blocks.filter(({ block }) => probes.has(probeOfSource(block.probe)));
  const lines = (of: readonly object[]) => utf8(of.map((one) => `${canonicalJson(one)}\n`).join(''));
  const readings = blocks.flatMap(({ block }) => block.readings.map((reading) => ({ block, reading })));
  // Chicago is six hours behind in January.
  const siteTime = (atMs: number) => `${new Date(atMs - 6 * 3_600_000).toISOString().slice(0, -1)}-06:00`;
  const csv = readings.map(({ block, reading }) => csvLine(block, reading, siteTime(reading.atMs)));
  const enclosed = new EnclosedReadings(blocks.map(({ block }) => block));
  const files: Files = new Map<string, Uint8Array>([
    [names.GUIDE, utf8('Read this first.\n')],
    [names.ENTRIES, lines(entries.map(({ entry, seq }) => ({ entry, proof: proofOf(seq), seq })))],
    [names.BLOCKS, lines(blocks.map(({ seq }) => ({ block: base64Of(yard.bytesOf(seq)), proof: proofOf(seq), seq })))],
    [names.READINGS_CSV, utf8([CSV_HEAD, ...csv].map((line) => line + CSV_LINE_END).join(''))],
    [names.READINGS, utf8(readings.map(({ block, reading }) => `${jsonLine(block, reading)}\n`).join(''))],
    [names.RECORD, utf8(canonicalJson(recordOf(yard.site, subject, enclosed, ms(minute))))],
    [names.REPORT, utf8('%PDF-1.7\n')],
    [names.PAGE, utf8('<!doctype html>\n')],
    ...checkpointFiles(hashes, minute, key),
  ]);
  for (const { entry } of entries) {
    if (entry.kind !== 'schedule.recorded') continue;
    const { definition, table, rateTableSha256 } = entry;
    files.set(names.scheduleFile(definition.name, definition.version), utf8(canonicalJson(definition)));
    files.set(names.rateTableFile(rateTableSha256), utf8(canonicalJson(table)));
  }
  const bundle: names.Bundle = {
    format: names.FORMAT,
    version: names.VERSION,
    site: SITE,
    madeAt: clock(minute),
    program: 'test',
    subject: { joints: [...subject.joints], sump: subject.sump },
    tree: { size: hashes.length, rootHash: bytesToHex(rootOf(hashes)) },
    key: { name: names.originOf(SITE), fingerprint: fingerprint(ed25519.getPublicKey(key)) },
    anchored: false,
  };
  return files.set(names.BUNDLE, utf8(canonicalJson(bundle)));
}

/** The files of a bag with this payload, all manifests right. */
export function bagOf(payload: Files, folder = 'warmhours-north-j1'): Files {
  const manifest = (files: Iterable<[string, Uint8Array]>) =>
    utf8([...files].map(([name, bytes]) => `${sha256Hex(bytes)}  ${name}\n`).join(''));
  const data: Files = new Map([...payload].map(([name, bytes]) => [PAYLOAD + name, bytes]));
  const tags: Files = new Map([
    [BAG_DECLARATION, utf8(DECLARATION)],
    [BAG_INFO, utf8(`Bagging-Date: 2026-01-15\nPayload-Oxum: ${oxumOf(data.values())}\n`)],
    [PAYLOAD_MANIFEST, manifest(data)],
  ]);
  tags.set(TAG_MANIFEST, manifest(tags));
  return new Map([...tags, ...data].map(([name, bytes]) => [`${folder}/${name}`, bytes]));
}

export function zipOf(files: Files, level: 0 | 6 = 6): Uint8Array {
  return zipSync(Object.fromEntries(files), { level, mtime: new Date(2026, 0, 15, 12) });
}

/** A bundle of this payload with everything around it right. */
export function packed(payload: Files): Uint8Array {
  return zipOf(bagOf(payload));
}

/** A copy of a payload with one file's text changed. */
export function edited(payload: Files, name: string, edit: (text: string) => string): Files {
  const before = textOf(payload.get(name));
  const after = edit(before);
  if (after === before) throw new Error(`nothing changed in ${name}`);
  return new Map(payload).set(name, utf8(after));
}

/** A copy of some bytes with one of them changed. */
export function flipped(bytes: Uint8Array, index: number, by = 1): Uint8Array {
  return bytes.with(index, (bytes[index] as number) ^ by);
}
