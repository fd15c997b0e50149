// A ledger of ten million readings: bytes on disk after sealing, start-up to the first right answer, resident memory.
import { statSync } from 'node:fs';
import { join } from 'node:path';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { foldAll } from '../../edge/cure/fold.ts';
import { hoursOf, type Schedule } from '../../edge/cure/schedule.ts';
import { Ledger } from '../../edge/ledger/ledger.ts';
import { LedgerView } from '../../edge/ledger/ledgerView.ts';
import type { IncomingReading } from '../../edge/ledger/taker.ts';
import { foldSpecOf } from '../../edge/site/cureSpec.ts';
import type { By, Statement, SystemStatement } from '../../edge/site/entries.ts';
import { applyEntry } from '../../edge/site/state/apply.ts';
import { emptySite } from '../../edge/site/state/site.ts';
import { JointView } from '../../edge/site/views/joint.ts';
import { Inspector } from '../../edge/tally/inspector.ts';
import { Tally } from '../../edge/tally/tally.ts';
import { TEMPERATURE } from '../../edge/tally/values.ts';
import { recordedSchedule } from '../../edge/tally/witness.ts';
import { read } from '../support/api.ts';
import { spawnService, tempFolder } from '../support/service.ts';
import { residentMb } from './child.ts';
import { median, print } from './table.ts';

const READINGS = 10_000_000;
const PROBES = 24;
const JOINTS = 12;
const EVERY_MS = 60_000;
const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
const STARTS = 5;

const by: By = { name: 'bench', role: 'system' };

/** A small generator (mulberry32), so that every run writes the same ledger. */
function random(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

/** One reading a minute and probe: a daily swing, a wandering offset, a sensor that counts in 1/16 °C, 20–80 ms on the way. */
async function write(path: string, startMs: number): Promise<void> {
  const ledger = new Ledger(path);
  const schedule = builtInSchedules[0] as Schedule;
  const statements: (Statement | SystemStatement)[] = [
    { kind: 'site.described', name: 'Bench', timeZone: 'UTC' },
    recordedSchedule(schedule),
    { kind: 'sump.added', sump: 'sump', label: 'Sump' },
  ];
  for (let probe = 0; probe < PROBES; probe++)
    statements.push({
      kind: 'probe.registered',
      probe: `probe-${probe}`,
      role: 'material',
      sensor: { kind: 'digital' },
      uncertaintyCelsius: 0.5,
    });
  for (let joint = 0; joint < JOINTS; joint++) {
    const probes = [`probe-${2 * joint}`, `probe-${2 * joint + 1}`];
    statements.push({
      kind: 'joint.added',
      joint: `joint-${joint}`,
      sump: 'sump',
      label: `Joint ${joint}`,
      schedule: schedule.name,
      probes,
    });
    statements.push({ kind: 'joint.laidUp', joint: `joint-${joint}`, at: new Date(startMs).toISOString() });
  }
  ledger.append(
    statements.map((statement) => ({ statement, by })),
    startMs,
  );

  const next = random(1);
  const offsets = Array.from({ length: PROBES }, () => 0);
  const minutes = Math.ceil(READINGS / PROBES);
  let readings: IncomingReading[] = [];
  for (let minute = 0; minute < minutes; minute++) {
    for (let probe = 0; probe < PROBES; probe++) {
      offsets[probe] = (offsets[probe] as number) * 0.999 + (next() - 0.5) * 0.1;
      const celsius = 6 + 5 * Math.sin((minute * EVERY_MS * 2 * Math.PI) / DAY_MS) + (offsets[probe] as number);
      const atMs = startMs + minute * EVERY_MS + probe * 97;
      const arrivalMs = atMs + 20 + Math.floor(next() * 60);
      readings.push({
        probe: `probe-${probe}`,
        quantity: TEMPERATURE,
        atMs,
        value: Math.round((Math.round(celsius * 16) / 16) * 1000),
        basis: 0,
        arrivalMs,
        monoMs: arrivalMs - startMs,
        boot: 1,
      });
    }
    if (minute % 60 === 59 || minute === minutes - 1) {
      const { takenInAll } = ledger.deliver([{ topic: '', readings, setAside: [] }]);
      readings = [];
      await ledger.seal(startMs + Math.ceil((minute + 1) / 60) * HOUR_MS, takenInAll);
    }
  }
  // The folds are kept with what stands out in them, as a running site keeps them before it seals.
  const view = new LedgerView(path);
  const site = emptySite();
  for (const { seq, entry } of view.entries()) applyEntry(site, entry, seq);
  const { readings: stored } = view;
  const tally = new Tally(site, stored);
  const inspector = new Inspector({ site, tally, readings: stored, nowMs: Date.now, monoMs: () => performance.now() });
  for (const joint of site.joints.values()) inspector.episodes(joint);
  ledger.keepCheckpoints(tally.checkpoints((joint) => inspector.kept(joint)));
  view.close();
  await ledger.close();
}

/** Warm hours of one joint, recomputed from nothing. */
function recomputed(path: string, joint: string): number {
  const view = new LedgerView(path);
  const site = emptySite();
  for (const { seq, entry } of view.entries()) applyEntry(site, entry, seq);
  const spec = foldSpecOf(site, site.joints.get(joint) as never);
  if (spec === null) throw new Error('the joint was never laid up');
  const histories = spec.lanes.map(({ probe }) => {
    const { atMs, value } = view.readings.range(probe, TEMPERATURE, Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY);
    return { atMs, milliC: value };
  });
  const hours = hoursOf(foldAll(spec, histories).state.creditPpmMs);
  view.close();
  return hours;
}

export async function tenMillion(): Promise<void> {
  using folder = tempFolder();
  const path = join(folder.path, 'ledger.db');
  const minutes = Math.ceil(READINGS / PROBES);
  const startMs = Math.floor((Date.now() - minutes * EVERY_MS) / DAY_MS) * DAY_MS - DAY_MS;
  await write(path, startMs);
  const bytes = statSync(path).size / (minutes * PROBES);
  print({
    what: 'bytes on disk a reading, sealed, one a minute, whole file',
    figure: bytes.toFixed(2),
    goal: { text: '≤ 3', met: bytes <= 3 },
  });

  const startedMs = performance.now();
  const expected = recomputed(path, 'joint-3');
  const recomputeSeconds = ((performance.now() - startedMs) / 1000) * JOINTS;

  const seconds: number[] = [];
  const resident: number[] = [];
  for (let start = 0; start < STARTS; start++) {
    const spawnedMs = performance.now();
    await using service = await spawnService({ dataFolder: folder.path });
    const { warmHours } = await read(service, '/api/joints/joint-3', JointView);
    seconds.push((performance.now() - spawnedMs) / 1000);
    if (Math.abs(warmHours - expected) > 1e-6) throw new Error(`the first answer is ${warmHours}, recomputed it is ${expected}`);
    resident.push(residentMb(service.pid));
    await service.stop();
  }
  const start = median(seconds);
  const millions = `${READINGS / 1e6} million readings`;
  print({
    what: `start with ${millions} to the first right answer`,
    figure: `${start.toFixed(2)} s`,
    goal: { text: '< 1 s', met: start < 1 },
  });
  print({ what: '  ratio to recomputing all joints from nothing', figure: (start / recomputeSeconds).toFixed(3) });
  const mb = median(resident);
  print({ what: '  resident memory then', figure: `${mb.toFixed(0)} MB`, goal: { text: '< 150 MB', met: mb < 150 } });
}
