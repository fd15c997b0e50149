import { readFile, stat } from 'node:fs/promises';
import { parseArgs } from 'node:util';
import { type Check, type Verdict, verifyBundle } from '../evidence/verify.ts';
import type { Io } from './io.ts';

const USAGE = `usage: verify BUNDLE.zip [options]
Judges a bundle of evidence by its own bytes: whether anything in it was altered since the site signed it, and whether the warm hours
follow from the readings. Exit code 0: every check holds; 1: one does not; 2: the file cannot be read.
  --key FINGERPRINT    of the site's key, got another way: 64 hexadecimal digits, spaced or not
  --json               the verdict as one JSON object
  --help               this text`;

const BYTES_MOST = 1024 ** 3;

interface Order {
  readonly file: string;
  readonly key: string | null;
  readonly json: boolean;
}

/** `warmhours verify`: exit code 0 for a good bundle, 1 for one that is not, 2 for an order or a file that cannot be read. */
export async function verify(args: string[], io: Io): Promise<number> {
  if (args.includes('--help')) {
    io.out(USAGE);
    return 0;
  }
  const order = readOrder(args);
  if (Array.isArray(order)) {
    for (const fault of order) io.err(`verify: ${fault}`);
    io.err('verify: --help shows all options');
    return 2;
  }
  let bytes: Uint8Array;
  try {
    bytes = await bytesOf(order.file);
  } catch (fault) {
    io.err(`verify: ${(fault as Error).message}`);
    return 2;
  }
  const verdict = verifyBundle(bytes, { trustedKey: order.key });
  if (order.json) io.out(JSON.stringify(verdict));
  else for (const line of linesOf(verdict)) io.out(printable(line));
  return verdict.ok ? 0 : 1;
}

/** @throws Error in plain words. */
async function bytesOf(file: string): Promise<Uint8Array> {
  const faultIn = ({ code, message }: NodeJS.ErrnoException) =>
    new Error(code === 'ENOENT' ? `there is no file ${file}` : `${file} cannot be read: ${message}`);
  const about = await stat(file).catch((fault: NodeJS.ErrnoException) => {
    throw faultIn(fault);
  });
  if (!about.isFile()) throw new Error(`${file} is no file`);
  if (about.size > BYTES_MOST) throw new Error(`${file} has ${about.size} bytes; ${BYTES_MOST} are read at most`);
  return readFile(file).catch((fault: NodeJS.ErrnoException) => {
    throw faultIn(fault);
  });
}

function linesOf({ ok, checks, summary, proves }: Verdict): string[] {
  const wrong = checks.find((check) => check.looked && !check.ok);
  return [
    ...checks.map((check) => lineOf(check, summary?.keyCompared ?? false)),
    '',
    ok ? 'GOOD: every check holds.' : `NOT GOOD: ${wrong?.detail ?? 'it could not be checked.'}`,
    ...(wrong?.consequence == null ? [] : [wrong.consequence]),
    ...(summary === null
      ? []
      : [
          '',
          `site         ${summary.site}`,
          ...(summary.sump === null ? [] : [`sump         ${summary.sump}`]),
          `joints       ${summary.joints.join(', ')}`,
          `made         ${summary.madeAt}`,
          `signed       ${summary.checkpointAt ?? 'nothing shows when'}`,
          `complete to  ${summary.completeUntil ?? 'nothing shows it'}`,
          `root         ${summary.rootHash} over ${summary.size} leaves`,
          `key          ${summary.fingerprint ?? 'none'}`,
        ]),
    '',
    ...proves,
  ];
}

function lineOf({ id, title, ok, looked, detail }: Check, isKeyCompared: boolean): string {
  const [mark, word] = standingOf({ ok, looked }, id === 'key' && !isKeyCompared);
  return `${mark} ${word.padEnd(14)}${id.padEnd(19)}${looked ? `${title}. ${detail}` : `${title}.`}`;
}

function standingOf({ ok, looked }: Pick<Check, 'ok' | 'looked'>, isLeft: boolean): [mark: string, word: string] {
  if (!looked) return ['–', 'not looked at'];
  if (!ok) return ['✗', 'WRONG'];
  return isLeft ? ['?', 'compare it'] : ['✓', 'good'];
}

/** What comes out of a bundle must not steer the terminal. */
function printable(line: string): string {
  return line.replace(/\p{Cc}/gu, '\u{fffd}');
}

/** The order, or everything that is wrong with it. */
function readOrder(args: string[]): Order | string[] {
  let given: ReturnType<typeof split>;
  try {
    given = split(args);
  } catch (fault) {
    return [(fault as Error).message];
  }
  const { positionals, values } = given;
  const { key = null, json = false } = values;
  const [file = ''] = positionals;
  const faults: string[] = [];
  if (positionals.length !== 1) faults.push(`give one bundle${positionals.length > 1 ? `, not ${positionals.length}` : ''}`);
  if (key !== null && !/^[0-9a-f]{64}$/i.test(key.replace(/[\s:]/g, '')))
    faults.push(`--key must be a fingerprint of 64 hexadecimal digits, not "${key}"`);
  return faults.length > 0 ? faults : { file, key, json };
}

function split(args: string[]) {
  return parseArgs({ args, allowPositionals: true, options: { key: { type: 'string' }, json: { type: 'boolean' } } });
}
