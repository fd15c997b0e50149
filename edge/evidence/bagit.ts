import { sha256Hex } from './canonical.ts';
import { textOfUtf8 } from './utf8.ts';
import type { ZippedFile } from './zip.ts';

/** Tag files of a bag, in its top folder. */
export const BAG_DECLARATION = 'bagit.txt';
export const BAG_INFO = 'bag-info.txt';
export const PAYLOAD_MANIFEST = 'manifest-sha256.txt';
export const TAG_MANIFEST = 'tagmanifest-sha256.txt';
/** RFC 8493 §2.1.1. */
export const DECLARATION = 'BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n';
/** RFC 8493 §2.1.2. */
export const PAYLOAD = 'data/';

/** A bag whose every file is there and has the hash that its manifests say. */
export interface Bag {
  /** The one folder that all is in. */
  readonly folder: string;
  /** By path below `data/`. */
  readonly payload: ReadonlyMap<string, Uint8Array>;
}

/** What is wrong with a bag; `file` is where, below its top folder, null for the bag as a whole. */
export interface BagFault {
  readonly file: string | null;
  readonly detail: string;
}

class Refusal extends Error {
  readonly fault: BagFault;

  constructor(file: string | null, detail: string) {
    super(detail);
    this.fault = { file, detail };
  }
}

/**
 * The bag (RFC 8493, version 1.0) that these files are, or the first thing that is wrong with it. Stricter than the RFC: one
 * SHA-256 manifest, every tag file listed too, no fetching of anything from elsewhere, nothing that no manifest names.
 */
export function readBag(files: readonly ZippedFile[]): { readonly bag: Bag } | { readonly fault: BagFault } {
  try {
    return { bag: bagOf(files) };
  } catch (fault) {
    if (fault instanceof Refusal) return { fault: fault.fault };
    throw fault;
  }
}

/** `Payload-Oxum` of RFC 8493 §2.2.2: bytes, a dot, number of files. */
export function oxumOf(payload: Iterable<Uint8Array>): string {
  let bytes = 0;
  let files = 0;
  for (const each of payload) {
    bytes += each.length;
    files++;
  }
  return `${bytes}.${files}`;
}

function bagOf(files: readonly ZippedFile[]): Bag {
  const { folder, inside } = inOneFolder(files);
  if (textIn(inside, BAG_DECLARATION) !== DECLARATION)
    throw new Refusal(BAG_DECLARATION, 'does not say that this is a BagIt bag of version 1.0 in UTF-8');
  const tags = manifestIn(inside, TAG_MANIFEST);
  const payloads = manifestIn(inside, PAYLOAD_MANIFEST);
  const isPayload = (name: string) => name.startsWith(PAYLOAD);
  const names = [...inside.keys()];
  compare(inside, TAG_MANIFEST, tags, new Set(names.filter((name) => !isPayload(name) && name !== TAG_MANIFEST)));
  compare(inside, PAYLOAD_MANIFEST, payloads, new Set(names.filter(isPayload)));
  for (const name of tags.keys())
    if (name !== BAG_DECLARATION && name !== BAG_INFO && name !== PAYLOAD_MANIFEST)
      throw new Refusal(name, 'does not belong into this bag');
  const payload = new Map(names.filter(isPayload).map((name) => [name.slice(PAYLOAD.length), inside.get(name) as Uint8Array]));
  const oxum = oxumOf(payload.values());
  if (oxumIn(textIn(inside, BAG_INFO)) !== oxum) throw new Refusal(BAG_INFO, `its Payload-Oxum is not ${oxum}`);
  return { folder, payload };
}

function inOneFolder(files: readonly ZippedFile[]) {
  const folder = files[0]?.name.split('/')[0] ?? '';
  const inside = new Map<string, Uint8Array>();
  for (const { name, bytes } of files) {
    if (!name.startsWith(`${folder}/`)) throw new Refusal(null, `${name} lies outside the folder ${folder}; there must be one`);
    inside.set(name.slice(folder.length + 1), bytes);
  }
  if (inside.size === 0) throw new Refusal(null, 'is empty');
  return { folder, inside };
}

function textIn(inside: ReadonlyMap<string, Uint8Array>, name: string): string {
  const bytes = inside.get(name);
  if (bytes === undefined) throw new Refusal(name, 'is missing');
  const text = textOfUtf8(bytes);
  if (text === null) throw new Refusal(name, 'is not UTF-8');
  return text;
}

/** Hash by path, as `sha256sum` writes them. */
function manifestIn(inside: ReadonlyMap<string, Uint8Array>, name: string): Map<string, string> {
  const lines = textIn(inside, name).split('\n');
  if (lines.pop() !== '') throw new Refusal(name, 'is cut short: its last line has no end');
  const listed = new Map<string, string>();
  lines.forEach((line, index) => {
    const [, hash, path] = /^([0-9a-f]{64}) {2}([^\s%][^%\p{Cc}]*)$/u.exec(line) ?? [];
    if (hash === undefined || path === undefined)
      throw new Refusal(name, `line ${index + 1} is no SHA-256 with a file’s name behind it`);
    if (listed.has(path)) throw new Refusal(name, `lists ${path} twice`);
    listed.set(path, hash);
  });
  return listed;
}

/** Every file there, none beside them, each with its hash. */
function compare(
  inside: ReadonlyMap<string, Uint8Array>,
  manifest: string,
  listed: ReadonlyMap<string, string>,
  there: ReadonlySet<string>,
): void {
  for (const name of there) if (!listed.has(name)) throw new Refusal(name, `is there, but ${manifest} does not list it`);
  for (const [name, hash] of listed) {
    const bytes = inside.get(name);
    if (bytes === undefined || !there.has(name)) throw new Refusal(name, `is missing: ${manifest} lists it`);
    const own = sha256Hex(bytes);
    if (own !== hash) throw new Refusal(name, `is not as it was packed: its SHA-256 is ${own}, ${manifest} says ${hash}`);
  }
}

function oxumIn(info: string): string | null {
  const lines = info.split('\n');
  if (lines.pop() !== '') throw new Refusal(BAG_INFO, 'is cut short: its last line has no end');
  const labels = lines.map((line, index) => {
    const [, label, value] = /^([A-Za-z][A-Za-z0-9-]*): (\S.*)$/.exec(line) ?? [];
    if (label === undefined || value === undefined) throw new Refusal(BAG_INFO, `line ${index + 1} is no label with a value`);
    return { label, value };
  });
  const oxums = labels.filter(({ label }) => label.toLowerCase() === 'payload-oxum');
  return oxums.length === 1 ? (oxums[0]?.value ?? null) : null;
}
