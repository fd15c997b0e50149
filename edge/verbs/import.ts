import { readFile } from 'node:fs/promises';
import { basename } from 'node:path';
import { parseArgs } from 'node:util';
import { z } from 'zod';
import { isId } from '../intake/topics.ts';
import type { Io } from './io.ts';

const USAGE = `usage: import FILE.csv --probe P [options]
Takes a logger's file in for a probe of a running site. FILE.csv has the columns time (ISO 8601 with offset) and celsius or
fahrenheit, optionally humidity, separated by commas, semicolons or tabs. The same file is taken once.
  --probe P            the probe's id; it must be registered
  --url URL            where the site answers (default http://127.0.0.1:8080)
  --token T            access token (default: WARMHOURS_TOKEN of the environment, which other users of the machine cannot read)
  --name N             who imports it, for the record (default: api)
  --help               this text`;

const DEFAULT_URL = 'http://127.0.0.1:8080';
/** So many rejected rows are spelled out. */
const REJECTED_SHOWN = 5;

interface Order {
  readonly file: string;
  readonly probe: string;
  readonly url: string;
  readonly token: string;
  readonly name: string | null;
}

const Imported = z.object({
  source: z.string(),
  rows: z.int(),
  rejected: z.array(z.object({ line: z.int(), reason: z.string() })),
  rejectedTotal: z.int(),
  from: z.string(),
  to: z.string(),
});
const Problem = z.object({ detail: z.string() });

/**
 * `warmhours import`: exit code 0 when the file is in, 1 when the site cannot be reached or does not take it, 2 for an order that is
 * not understood or a file that cannot be read.
 */
export async function importFile(args: string[], io: Io, environment: NodeJS.ProcessEnv = process.env): Promise<number> {
  if (args.includes('--help')) {
    io.out(USAGE);
    return 0;
  }
  const order = readOrder(args, environment.WARMHOURS_TOKEN);
  if (Array.isArray(order)) {
    for (const fault of order) io.err(`import: ${fault}`);
    io.err('import: --help shows all options');
    return 2;
  }
  let bytes: Uint8Array<ArrayBuffer>;
  try {
    bytes = new Uint8Array(await readFile(order.file));
  } catch (fault) {
    const { code, message } = fault as NodeJS.ErrnoException;
    io.err(`import: ${code === 'ENOENT' ? `there is no file ${order.file}` : `${order.file} cannot be read: ${message}`}`);
    return 2;
  }
  try {
    for (const line of await post(order, bytes, io.signal)) io.out(line);
    return 0;
  } catch (fault) {
    io.err(`import: ${(fault as Error).message}`);
    return 1;
  }
}

/** Sends the file; returns what to say about it. @throws Error in plain words when it was not taken. */
async function post(
  { file, probe, url, token, name }: Order,
  bytes: Uint8Array<ArrayBuffer>,
  signal: AbortSignal,
): Promise<string[]> {
  const target = new URL(`api/probes/${encodeURIComponent(probe)}/imports`, url.endsWith('/') ? url : `${url}/`);
  target.searchParams.set('name', basename(file));
  const headers = {
    authorization: `Bearer ${token}`,
    'content-type': 'text/csv',
    ...(name === null ? {} : { 'warmhours-name': encodeURIComponent(name) }),
  };
  const response = await fetch(target, { method: 'POST', headers, body: bytes, signal }).catch((fault: Error) => {
    const why = fault.cause instanceof Error ? fault.cause.message : fault.message;
    throw new Error(`no answer from ${target.origin}: ${why}`);
  });
  const answer: unknown = await response.json().catch(() => null);
  if (response.status !== 201)
    throw new Error(Problem.safeParse(answer).data?.detail ?? `${target.origin} answers ${response.status}`);
  const taken = Imported.safeParse(answer);
  if (!taken.success) throw new Error(`${target.origin} answers something else than a site does`);
  const { source, rows, rejected, rejectedTotal, from, to } = taken.data;
  return [
    `${rows} ${rows === 1 ? 'row' : 'rows'} taken for probe "${probe}", from ${from} to ${to} (UTC), as "${source}"`,
    rejectedTotal === 0 ? 'no row rejected' : `${rejectedTotal} rejected:`,
    ...rejected.slice(0, REJECTED_SHOWN).map(({ line, reason }) => `  line ${line}: ${reason}`),
    ...(rejectedTotal > REJECTED_SHOWN ? [`  and ${rejectedTotal - REJECTED_SHOWN} more`] : []),
  ];
}

/** The order, or everything that is wrong with it. */
function readOrder(args: string[], tokenOfEnvironment: string | undefined): Order | string[] {
  let given: ReturnType<typeof split>;
  try {
    given = split(args);
  } catch (fault) {
    return [(fault as Error).message];
  }
  const { positionals, values } = given;
  const { probe = '', url = DEFAULT_URL, token = tokenOfEnvironment ?? '', name = null } = values;
  const [file = ''] = positionals;
  const faults: string[] = [];
  if (positionals.length !== 1) faults.push(`give one CSV file${positionals.length > 1 ? `, not ${positionals.length}` : ''}`);
  if (!isId(probe)) faults.push(`--probe must be the id of a probe${probe && `, not "${probe}"`}`);
  if (!/^https?:$/.test(URL.parse(url)?.protocol ?? ''))
    faults.push(`--url must be an address such as ${DEFAULT_URL}, not "${url}"`);
  if (!/^[!-~]+$/.test(token)) faults.push('an access token is needed: --token T, or WARMHOURS_TOKEN in the environment');
  return faults.length > 0 ? faults : { file, probe, url, token, name };
}

function split(args: string[]) {
  const text = { type: 'string' } as const;
  return parseArgs({ args, allowPositionals: true, options: { probe: text, url: text, token: text, name: text } });
}
