import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import { CodedError } from '../../edge/errors.ts';
import { type CsvReadings, readingsIn, slicesOf, UnreadableFile } from '../../edge/intake/csv.ts';
import { OWN_TIME_MIN_MS } from '../../edge/intake/quantities.ts';
import { iso } from '../../edge/site/views/iso.ts';
import type { LiveSite } from '../../edge/tally/liveSite.ts';
import { type Api, askedBy } from './api.ts';

/** A logger's file of a month of minutes has 1.5 MB. */
export const FILE_BYTES_MOST = 20 * 1024 * 1024;
const REJECTED_SHOWN = 50;

const Rejected = z.strictObject({ line: z.int(), reason: z.string() });
const Imported = z.strictObject({
  /** Name of the series in the ledger. */
  source: z.string(),
  sha256: z.string(),
  rows: z.int(),
  /** The first of them. */
  rejected: z.array(Rejected),
  rejectedTotal: z.int(),
  from: z.string(),
  to: z.string(),
});

/** Read by `readFile`; here it is only described. */
const CsvBody = z.unknown().meta({
  type: 'string',
  description: 'A CSV file with the columns time, celsius or fahrenheit, and humidity if there is one.',
});
const Named = z.strictObject({ probe: z.string() });
const FileName = z.strictObject({
  name: z
    .string()
    .trim()
    .regex(/^\P{C}{1,120}$/u, 'name the file, in 1 to 120 printable characters'),
});

/** Takes a logger's CSV file (columns `time`, `celsius` or `fahrenheit`, and `humidity` if there is one) in for a probe. */
export async function importRoutes(api: Api, live: LiveSite): Promise<void> {
  // In a scope of its own: everywhere else a CSV body is of the wrong type.
  await api.register(async (scope) => {
    scope.removeAllContentTypeParsers();
    scope.addContentTypeParser('text/csv', { parseAs: 'buffer' }, (_request, body, done) => done(null, body));
    scope.withTypeProvider<ZodTypeProvider>().post(
      '/api/probes/:probe/imports',
      {
        bodyLimit: FILE_BYTES_MOST,
        schema: {
          consumes: ['text/csv'],
          body: CsvBody,
          params: Named,
          querystring: FileName,
          response: { 201: Imported },
        },
      },
      async (request, reply) => {
        const by = askedBy(request);
        if (by.role === 'claims') throw new CodedError('wrong-role', 'claims staff read only; a file is imported by crew');
        const { probe } = request.params;
        const file = request.query.name;
        if (!live.state.probes.has(probe)) throw new CodedError('not-found', `there is no probe "${probe}" on this site`);
        const read = await readFile(request.body, file, live.nowMs);
        const { sha256, rejected } = read;
        const kept = await live.importFile({ probe, file, sha256, readings: read, rejected: rejected.length }, by);
        reply.code(201);
        return { ...kept, sha256, rejected: rejected.slice(0, REJECTED_SHOWN), rejectedTotal: rejected.length };
      },
    );
  });
}

/** @throws CodedError `bad-request` for a file without a usable row, with the first of its rows named. */
async function readFile(body: unknown, file: string, nowMs: number): Promise<CsvReadings> {
  const bytes = Buffer.isBuffer(body) ? body : Buffer.alloc(0);
  const read = await readingsIn(slicesOf(bytes), file, (atMs) => faultOfTime(atMs, nowMs)).catch((fault: unknown) => {
    if (fault instanceof UnreadableFile) throw new CodedError('bad-request', fault.message);
    throw fault;
  });
  if (read.atMs.length > 0) return read;
  const faults = read.rejected.slice(0, REJECTED_SHOWN).map(({ line, reason }) => ({ path: `line ${line}`, message: reason }));
  const what = read.rejected.length === 0 ? 'a header and no readings' : 'no usable reading';
  throw new CodedError('bad-request', `${file} has ${what}`, faults);
}

/** A row of the future would wait for its time, and a logger that was never set tells of no time at all. */
function faultOfTime(atMs: number, nowMs: number): string | null {
  if (atMs > nowMs) return `${iso(atMs)} lies in the future; it is ${iso(nowMs)} here`;
  return atMs < OWN_TIME_MIN_MS ? `${iso(atMs)} lies before 2015; check the clock of the logger` : null;
}
