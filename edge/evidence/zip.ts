import { inflateSync } from 'fflate';
import { crc32 } from './crc32.ts';

/** A file out of a ZIP. */
export interface ZippedFile {
  readonly name: string;
  readonly bytes: Uint8Array;
}

/** How much a ZIP may come to, so that a small one cannot fill the memory. */
export interface ZipLimits {
  /** Of all files together. */
  readonly bytesMost: number;
  readonly filesMost: number;
  /** A file may be so many times as large as it is packed, and `spareBytes` beside. */
  readonly ratioMost: number;
  readonly spareBytes: number;
}

export const ZIP_LIMITS: ZipLimits = { bytesMost: 512 * 1024 * 1024, filesMost: 10_000, ratioMost: 200, spareBytes: 1024 * 1024 };

export type ZipFaultCode = 'not-zip' | 'outside' | 'unsupported' | 'disagreement' | 'bad-name' | 'too-large' | 'damaged';

/** What is wrong with a ZIP; `file` is where, null for the ZIP as a whole. */
export interface ZipFault {
  readonly code: ZipFaultCode;
  readonly file: string | null;
  readonly detail: string;
}

const LOCAL = 0x04034b50;
const CENTRAL = 0x02014b50;
const DESCRIPTOR = 0x08074b50;
const END = 0x06054b50;
const LOCAL_BYTES = 30;
const CENTRAL_BYTES = 46;
const DESCRIPTOR_BYTES = 16;
const END_BYTES = 22;
const STORED = 0;
const DEFLATED = 8;
/** Sizes follow the data. */
const STREAMED = 0x8;
const UTF8 = 0x800;
/** How hard it was packed, which only informs. */
const EFFORT = 0x6;
const MADE_ON_DOS = 0;
const MADE_ON_UNIX = 3;
const UNIX_REGULAR = 0o100000;
const UNIX_KIND = 0o170000;
/** Read-only, hidden, system and archive; neither a directory nor a volume. */
const DOS_PLAIN = 0x27;

/** Fields that stand in both headers of a file. */
interface Header {
  readonly versionNeeded: number;
  readonly flags: number;
  readonly method: number;
  readonly time: number;
  readonly crc: number;
  readonly packedBytes: number;
  readonly bytes: number;
}

interface Listed extends Header {
  readonly name: string;
  readonly rawName: Uint8Array;
  readonly offset: number;
}

class Refusal extends Error {
  readonly fault: ZipFault;

  constructor(code: ZipFaultCode, file: string | null, detail: string) {
    super(detail);
    this.fault = { code, file, detail };
  }
}

/**
 * The files of a ZIP (PKWARE APPNOTE 6.3), in their order, or the first thing that is wrong with it. Takes only what leaves no room
 * for doubt: stored or deflated plain files one after the other, without anything before, between or behind them, whose two headers
 * agree, whose names are plain paths, and which unpack to exactly the size and check sum that they say.
 */
export function readZip(
  bytes: Uint8Array,
  limits: ZipLimits = ZIP_LIMITS,
): { readonly files: readonly ZippedFile[] } | { readonly fault: ZipFault } {
  try {
    return { files: filesOf(bytes, limits) };
  } catch (fault) {
    if (fault instanceof Refusal) return { fault: fault.fault };
    throw fault;
  }
}

function filesOf(bytes: Uint8Array, limits: ZipLimits): ZippedFile[] {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const { count, offset: directory } = endOf(view, limits);
  const listed = listedIn(bytes, view, directory, count);
  const totalBytes = listed.reduce((total, file) => total + file.bytes, 0);
  if (totalBytes > limits.bytesMost)
    throw new Refusal('too-large', null, `unpacks to ${totalBytes} bytes; ${limits.bytesMost} are taken`);
  let place = 0;
  const files: ZippedFile[] = [];
  for (const file of listed) {
    if (file.offset !== place) throw new Refusal('outside', file.name, 'does not begin where the one before it ends');
    const dataAt = checkLocal(bytes, view, file, directory);
    const dataEnd = dataAt + file.packedBytes;
    place = dataEnd + (file.flags & STREAMED ? DESCRIPTOR_BYTES : 0);
    if (place > directory) throw new Refusal('damaged', file.name, 'reaches into the list of files');
    if (file.flags & STREAMED) checkDescriptor(view, file, dataEnd);
    files.push({ name: file.name, bytes: unpacked(file, bytes.subarray(dataAt, dataEnd), limits) });
  }
  if (place !== directory)
    throw new Refusal('outside', null, `${directory - place} bytes stand between the files and their list`);
  return files;
}

function endOf(view: DataView, { filesMost }: ZipLimits): { readonly count: number; readonly offset: number } {
  const at = view.byteLength - END_BYTES;
  if (at < 0 || view.getUint32(at, true) !== END)
    throw new Refusal('not-zip', null, 'does not end as a ZIP does: it is something else, cut short, or has something behind it');
  const disks = [view.getUint16(at + 4, true), view.getUint16(at + 6, true)];
  const count = view.getUint16(at + 10, true);
  const size = view.getUint32(at + 12, true);
  const offset = view.getUint32(at + 16, true);
  if (disks.some((disk) => disk !== 0) || view.getUint16(at + 8, true) !== count)
    throw new Refusal('unsupported', null, 'is one part of several');
  if (view.getUint16(at + 20, true) !== 0) throw new Refusal('outside', null, 'has a comment at its end');
  if (count === 0xffff || size === 0xffffffff || offset === 0xffffffff)
    throw new Refusal('unsupported', null, 'is in the 64-bit form');
  if (count > filesMost) throw new Refusal('too-large', null, `holds ${count} files; ${filesMost} are taken`);
  if (offset + size !== at) throw new Refusal('outside', null, 'its list of files is not right before its end');
  return { count, offset };
}

function listedIn(bytes: Uint8Array, view: DataView, directory: number, count: number): Listed[] {
  const end = view.byteLength - END_BYTES;
  const listed: Listed[] = [];
  const names = new Set<string>();
  let at = directory;
  for (let index = 0; index < count; index++) {
    if (at + CENTRAL_BYTES > end || view.getUint32(at, true) !== CENTRAL)
      throw new Refusal('damaged', null, `its list of files breaks off after ${index} of ${count}`);
    const nameBytes = view.getUint16(at + 28, true);
    const rawName = bytes.subarray(at + CENTRAL_BYTES, at + CENTRAL_BYTES + nameBytes);
    const header = headerAt(view, at + 6);
    const name = nameOf(rawName, header.flags);
    const file = { ...header, name, rawName, offset: view.getUint32(at + 42, true) };
    if (view.getUint16(at + 30, true) !== 0 || view.getUint16(at + 32, true) !== 0)
      throw new Refusal('outside', name, 'carries extra fields or a comment');
    checkKind(view, at, file);
    // A file system that does not tell large letters from small ones would unpack one over the other.
    const folded = name.toLowerCase();
    if (names.has(folded)) throw new Refusal('bad-name', name, 'stands there twice');
    names.add(folded);
    listed.push(file);
    at += CENTRAL_BYTES + nameBytes;
  }
  if (at !== end) throw new Refusal('outside', null, 'its list of files goes on after the last one');
  return listed;
}

function checkKind(view: DataView, at: number, { name, flags, method }: Listed): void {
  const refuse = (what: string) => new Refusal('unsupported', name, what);
  const madeOn = view.getUint8(at + 5);
  const external = view.getUint32(at + 38, true);
  if (flags & ~(STREAMED | UTF8 | EFFORT)) throw refuse('is encrypted or packed in a way that is not taken');
  if (method !== STORED && method !== DEFLATED) throw refuse(`is packed by method ${method}; 0 and 8 are taken`);
  if (view.getUint16(at + 34, true) !== 0) throw refuse('begins in another part');
  if (madeOn !== MADE_ON_DOS && madeOn !== MADE_ON_UNIX) throw refuse(`was made on a system of kind ${madeOn}`);
  const unixKind = (external >>> 16) & UNIX_KIND;
  if ((unixKind !== 0 && unixKind !== UNIX_REGULAR) || (external & 0xffff & ~DOS_PLAIN) !== 0)
    throw refuse('is no plain file but a folder, a link or a device');
}

function headerAt(view: DataView, at: number): Header {
  return {
    versionNeeded: view.getUint16(at, true),
    flags: view.getUint16(at + 2, true),
    method: view.getUint16(at + 4, true),
    time: view.getUint32(at + 6, true),
    crc: view.getUint32(at + 10, true),
    packedBytes: view.getUint32(at + 14, true),
    bytes: view.getUint32(at + 18, true),
  };
}

/** Where the file's data begin. */
function checkLocal(bytes: Uint8Array, view: DataView, file: Listed, end: number): number {
  const { name, rawName, offset } = file;
  const dataAt = offset + LOCAL_BYTES + rawName.length;
  if (dataAt > end || view.getUint32(offset, true) !== LOCAL)
    throw new Refusal('damaged', name, 'is not where the list says it is');
  const local = headerAt(view, offset + 4);
  const streamed = (local.flags & STREAMED) !== 0;
  // What follows the data was not known yet when the local header was written.
  const expected: Header = streamed ? { ...file, crc: 0, packedBytes: 0, bytes: 0 } : file;
  const fields = ['versionNeeded', 'flags', 'method', 'time', 'crc', 'packedBytes', 'bytes'] as const;
  const differs = fields.find((field) => local[field] !== expected[field]);
  if (differs !== undefined)
    throw new Refusal('disagreement', name, `its header and the list of files do not agree (${differs})`);
  if (view.getUint16(offset + 28, true) !== 0) throw new Refusal('outside', name, 'carries extra fields');
  const localName = bytes.subarray(offset + LOCAL_BYTES, dataAt);
  if (view.getUint16(offset + 26, true) !== rawName.length || rawName.some((byte, index) => byte !== localName[index]))
    throw new Refusal('disagreement', name, 'has another name in its own header');
  return dataAt;
}

function checkDescriptor(view: DataView, { name, crc, packedBytes, bytes }: Listed, at: number): void {
  const said = [0, 4, 8, 12].map((offset) => view.getUint32(at + offset, true));
  const expected = [DESCRIPTOR, crc, packedBytes, bytes];
  if (said.some((number, index) => number !== expected[index]))
    throw new Refusal('disagreement', name, 'what follows its data and the list of files do not agree');
}

/** A plain path, the same on every system. */
function nameOf(raw: Uint8Array, flags: number): string {
  let name: string;
  try {
    name = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(raw);
  } catch {
    throw new Refusal('bad-name', null, 'has a file whose name is not UTF-8');
  }
  const shown = JSON.stringify(name.slice(0, 80));
  const refuse = (what: string) => new Refusal('bad-name', null, `has a file named ${shown}, ${what}`);
  if (raw.some((byte) => byte >= 0x80) && !(flags & UTF8)) throw refuse('which does not say in which letters it is written');
  if (/[\p{Cc}\\:*?"<>|]/u.test(name)) throw refuse('with signs that do not belong into a name');
  if (name.endsWith('/')) throw refuse('which is a folder; only files belong here');
  if (name.split('/').some((part) => part === '' || part === '.' || part === '..'))
    throw refuse('which leads out of the folder or nowhere');
  return name;
}

function unpacked(
  { name, method, bytes: size, packedBytes, crc }: Listed,
  packed: Uint8Array,
  { ratioMost, spareBytes }: ZipLimits,
): Uint8Array {
  if (size > packedBytes * ratioMost + spareBytes)
    throw new Refusal('too-large', name, `would grow from ${packedBytes} to ${size} bytes`);
  const bytes = method === STORED ? packed : inflated(name, packed, size);
  if (bytes.length !== size) throw new Refusal('damaged', name, `has another size than the ${size} bytes that it says`);
  if (crc32(bytes) !== crc) throw new Refusal('damaged', name, 'has another check sum than it says');
  return bytes;
}

function inflated(name: string, packed: Uint8Array, size: number): Uint8Array {
  if (packed.length === 0) throw new Refusal('damaged', name, 'is packed, but nothing is there');
  try {
    // One byte of room more than it may fill tells whether it would fill more.
    return inflateSync(packed, { out: new Uint8Array(size + 1) });
  } catch {
    throw new Refusal('damaged', name, 'cannot be unpacked');
  }
}
