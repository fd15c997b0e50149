import { sha256 } from '@noble/hashes/sha2.js';
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js';
import type { RateTable } from '../cure/rateTable.ts';

/** Entries are a few levels deep. The bound turns a loop in the data into a plain error. */
const DEPTH_MAX = 100;

/**
 * `value` as canonical JSON (RFC 8785): no white space, members sorted by UTF-16 code units, numbers and strings written as
 * ECMAScript writes them. Takes plain data only: null, booleans, finite numbers, well-formed strings, arrays, plain objects.
 *
 * @throws TypeError naming the path of the first thing that JSON cannot hold without loss: NaN, an infinity, `undefined` (a hole
 * in an array too), a lone surrogate in a string or a member name, a BigInt, a function, a symbol, a class instance, a loop.
 */
export function canonicalJson(value: unknown): string {
  return written(value, []);
}

function written(value: unknown, path: readonly string[]): string {
  if (path.length > DEPTH_MAX) throw refusal(path, `nested deeper than ${DEPTH_MAX} levels`);
  switch (typeof value) {
    case 'string':
      return quoted(value, path);
    case 'number':
      if (!Number.isFinite(value)) throw refusal(path, `${value} is not a JSON number`);
      // RFC 8785 §3.2.2.3 takes ECMAScript's own number format, minus zero as 0.
      return String(value);
    case 'boolean':
      return String(value);
    case 'object':
      break;
    default:
      throw refusal(path, `${typeof value} has no place in JSON`);
  }
  if (value === null) return 'null';
  if (Array.isArray(value)) return `[${Array.from(value, (item, index) => written(item, [...path, String(index)])).join(',')}]`;
  if (!isPlain(value)) throw refusal(path, 'only plain objects can be written');
  // RFC 8785 §3.2.3: sorted by UTF-16 code units, which is what sort() does with strings.
  const members = Object.keys(value)
    .sort()
    .map((name) => `${quoted(name, [...path, name])}:${written(value[name], [...path, name])}`);
  return `{${members.join(',')}}`;
}

/** RFC 8785 §3.2.2.2 is ECMAScript's own string format. */
function quoted(text: string, path: readonly string[]): string {
  if (!text.isWellFormed()) throw refusal(path, 'text with a lone surrogate');
  return JSON.stringify(text);
}

function isPlain(value: object): value is Record<string, unknown> {
  const prototype = Object.getPrototypeOf(value);
  return prototype === Object.prototype || prototype === null;
}

function refusal(path: readonly string[], what: string): TypeError {
  const where = path.length === 0 ? 'the value itself' : path.join('.').toWellFormed();
  return new TypeError(`not canonical JSON at ${where}: ${what}`);
}

/** SHA-256 in small hexadecimal letters; text is hashed as UTF-8. */
export function sha256Hex(data: string | Uint8Array): string {
  return bytesToHex(sha256(typeof data === 'string' ? utf8ToBytes(data) : data));
}

/** The hash that names a rate table: SHA-256 over its canonical JSON. */
export function rateTableSha256(table: RateTable): string {
  return sha256Hex(canonicalJson(table));
}
