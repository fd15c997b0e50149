import { readFile } from 'node:fs/promises';
import { parseArgs } from 'node:util';
import { builtInSchedules } from '../cure/builtIns.ts';
import { type JudgedSource, judge } from '../cure/judge.ts';
import { Schedule } from '../cure/schedule.ts';
import { rateTableSha256 } from '../evidence/canonical.ts';
import { type CsvReadings, UnreadableFile } from '../intake/csv.ts';
import { instantOf } from '../intake/instant.ts';
import { DEFAULT_HUMIDITY_UNCERTAINTY_PERCENT, DEFAULT_UNCERTAINTY_CELSIUS } from '../site/said/instruments.ts';
import { readCsv } from './csvReadings.ts';
import { linesOf, reportOf } from './cureReport.ts';
import type { Io } from './io.ts';

const USAGE = `usage: cure FILE.csv --schedule NAME|FILE.json [options]
Counts the warm hours of one temperature file against a schedule and says when each stage was reached.
FILE.csv has the columns time (ISO 8601 with offset) and celsius or fahrenheit, optionally humidity, separated by
commas, semicolons or tabs.
  --schedule NAME      ${builtInSchedules.map((schedule) => schedule.name).join(', ')}, or a JSON file of the same form
  --from ISO           when the last ply or pour went down (default: the first reading)
  --gap-minutes N      readings further apart prove nothing, more than 0 to 240 (default: the schedule's)
  --guard-celsius X    taken off every reading, 0 to 5 (default ${DEFAULT_UNCERTAINTY_CELSIUS}, for a probe good to ±${DEFAULT_UNCERTAINTY_CELSIUS} °C)
  --guard-humidity X   taken off every relative humidity, %RH, 0 to 20 (default ${DEFAULT_HUMIDITY_UNCERTAINTY_PERCENT}); for a sealant
  --bead-mm X          depth of the sealant bead, more than 0 to 50 (default: the schedule's)
  --json               one JSON object instead of the table
  --help               this text`;

interface Order {
  readonly file: string;
  readonly schedule: Schedule;
  readonly fromMs: number | null;
  readonly gapLimitMs: number;
  readonly guardMilliC: number;
  readonly guardMilliPercent: number;
  readonly beadMillimetres: number | null;
  readonly json: boolean;
}

/** `warmhours cure`: exit code 0 with a result, 2 for an order that is not understood or a file without a usable reading. */
export async function cure(args: string[], io: Pick<Io, 'out' | 'err'>): Promise<number> {
  if (args.includes('--help')) {
    io.out(USAGE);
    return 0;
  }
  const order = await readOrder(args);
  if (Array.isArray(order)) {
    for (const fault of order) io.err(`cure: ${fault}`);
    io.err('cure: --help shows all options');
    return 2;
  }
  try {
    return judgeFile(order, await readCsv(order.file), io);
  } catch (fault) {
    if (!(fault instanceof UnreadableFile)) throw fault;
    io.err(`cure: ${fault.message}`);
    return 2;
  }
}

function judgeFile(order: Order, readings: CsvReadings, { out, err }: Pick<Io, 'out' | 'err'>): number {
  const { file, schedule, gapLimitMs, guardMilliC, guardMilliPercent, beadMillimetres } = order;
  if (schedule.law.kind === 'moisture' && readings.atMs.length > 0 && readings.milliRh.every((humidity) => humidity === null)) {
    err(`cure: ${file} has no humidity; ${schedule.name} cures by the moisture of the air, so it needs that column`);
    return 2;
  }
  const startMs = order.fromMs ?? readings.atMs[0] ?? null;
  const { table, fold } = judge(schedule, sourcesIn(file, order, readings), {
    startMs: startMs ?? 0,
    gapLimitMs,
    beadMillimetres,
  });
  const terms = {
    schedule,
    rateTableSha256: rateTableSha256(table),
    gapLimitMs,
    guardMilliC,
    guardMilliPercent,
    beadMillimetres,
  };
  const report = reportOf(terms, fold.state, startMs, readings.atMs.at(-1) ?? null, readings.rejected);
  if (order.json) out(JSON.stringify(report));
  else for (const line of linesOf(terms, report, readings.atMs.length)) out(line);

  if (report.to !== null) return 0;
  const [first] = readings.rejected;
  if (readings.atMs.length > 0) err(`cure: ${order.file} has no reading at or after --from`);
  else if (first === undefined) err(`cure: ${order.file} has a header and no readings`);
  else
    err(`cure: ${order.file} has no usable reading; ${readings.rejected.length} rejected, line ${first.line}: ${first.reason}`);
  return 2;
}

/** A laminate is judged by its own temperature; a moisture law asks for that of the air, and for its humidity. */
function sourcesIn(
  name: string,
  { schedule, guardMilliC, guardMilliPercent }: Order,
  { atMs, milliC, milliRh }: CsvReadings,
): JudgedSource[] {
  const temperature = { name, guardMilliC, readings: { atMs, milliC } };
  if (schedule.law.kind !== 'moisture') return [{ ...temperature, role: 'material' }];
  const rows = milliRh.flatMap((value, row) => (value === null ? [] : [{ value, ms: atMs[row] as number }]));
  const humidity = { atMs: rows.map(({ ms }) => ms), milliC: rows.map(({ value }) => value) };
  return [
    { ...temperature, role: 'ambient' },
    { name, role: 'humidity', guardMilliC: guardMilliPercent, readings: humidity },
  ];
}

/** The order, or everything that is wrong with it. */
async function readOrder(args: string[]): Promise<Order | string[]> {
  let given: ReturnType<typeof split>;
  try {
    given = split(args);
  } catch (fault) {
    return [(fault as Error).message];
  }
  const { positionals, values } = given;
  const faults: string[] = [];
  const [file = ''] = positionals;
  if (positionals.length !== 1) faults.push(`give one CSV file${positionals.length > 1 ? `, not ${positionals.length}` : ''}`);

  const schedule = await readSchedule(values.schedule, faults);

  const from = values.from === undefined ? null : instantOf(values.from);
  if (from !== null && 'reason' in from) faults.push(`--from: ${from.reason}`);
  const number = (
    name: 'gap-minutes' | 'guard-celsius' | 'guard-humidity' | 'bead-mm',
    allowed: (value: number) => boolean,
    what: string,
  ): number | null => {
    const text = values[name]?.trim();
    if (text === undefined) return null;
    const value = text === '' ? Number.NaN : Number(text);
    if (!allowed(value)) faults.push(`--${name} must be ${what}, not "${text}"`);
    return value;
  };
  const gapMinutes = number(
    'gap-minutes',
    (value) => value > 0 && value <= 240,
    'a number of minutes, more than 0 and at most 240',
  );
  const guardCelsius = number('guard-celsius', (value) => value >= 0 && value <= 5, 'a number from 0 to 5');

  const guardPercent = number('guard-humidity', (value) => value >= 0 && value <= 20, 'a number from 0 to 20');
  const beadMillimetres = number('bead-mm', (value) => value > 0 && value <= 50, 'a number of mm, more than 0 and at most 50');
  if (schedule !== null && schedule.law.kind !== 'moisture' && beadMillimetres !== null)
    faults.push('--bead-mm is for a sealant, whose schedule has a moisture law');

  if (faults.length > 0 || schedule === null) return faults;
  return {
    file,
    schedule,
    fromMs: from !== null && 'ms' in from ? from.ms : null,
    gapLimitMs: Math.round((gapMinutes ?? schedule.gapLimitMinutes) * 60_000),
    guardMilliC: Math.round((guardCelsius ?? DEFAULT_UNCERTAINTY_CELSIUS) * 1000),
    guardMilliPercent: Math.round((guardPercent ?? DEFAULT_HUMIDITY_UNCERTAINTY_PERCENT) * 1000),
    beadMillimetres,
    json: values.json ?? false,
  };
}

function split(args: string[]) {
  const text = { type: 'string' } as const;
  return parseArgs({
    args,
    allowPositionals: true,
    options: {
      schedule: text,
      from: text,
      'gap-minutes': text,
      'guard-celsius': text,
      'guard-humidity': text,
      'bead-mm': text,
      json: { type: 'boolean' },
    },
  });
}

/** A built-in schedule by its name, or one from a file. Null with at least one fault noted. */
async function readSchedule(name: string | undefined, faults: string[]): Promise<Schedule | null> {
  const known = builtInSchedules.map((schedule) => schedule.name).join(', ');
  if (name === undefined) {
    faults.push(`--schedule is missing; known: ${known}, or a file that ends in .json`);
    return null;
  }
  const builtIn = builtInSchedules.find((schedule) => schedule.name === name);
  if (builtIn !== undefined) return builtIn;
  if (!name.toLowerCase().endsWith('.json')) {
    faults.push(`there is no schedule "${name}"; known: ${known}, or a file that ends in .json`);
    return null;
  }
  let written: unknown;
  try {
    written = JSON.parse(await readFile(name, 'utf8'));
  } catch (fault) {
    const { code, message } = fault as NodeJS.ErrnoException;
    faults.push(code === 'ENOENT' ? `there is no file ${name}` : `${name} is no readable JSON file: ${message}`);
    return null;
  }
  const read = Schedule.safeParse(written);
  if (read.success) return read.data;
  for (const { path, message } of read.error.issues) faults.push(`${name}: ${path.join('.') || 'the schedule'}: ${message}`);
  return null;
}
