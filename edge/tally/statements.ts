import type { Clock } from '../clock/clock.ts';
import { CodedError } from '../errors.ts';
import type { ColumnarReadings } from '../intake/csv.ts';
import { importedReadings } from '../intake/imported.ts';
import type { Appended } from '../ledger/leaves.ts';
import type { ImportedReadings, Said } from '../ledger/ledger.ts';
import type { Readings } from '../ledger/readings.ts';
import type { IncomingReading } from '../ledger/taker.ts';
import type { By, Statement, SystemStatement } from '../site/entries.ts';
import { ownerOf } from '../site/findings/id.ts';
import { faultsOf } from '../site/refusals/faults.ts';
import { permittedRoles } from '../site/refusals/permits.ts';
import { questionsOf } from '../site/refusals/questions.ts';
import { scheduleNamed } from '../site/refusals/setup.ts';
import { testAndBackfill } from '../site/sequence.ts';
import { sourceOf } from '../site/sources.ts';
import type { SiteState } from '../site/state/site.ts';
import { iso } from '../site/views/iso.ts';
import type { SiteViews } from './siteViews.ts';
import type { Tally } from './tally.ts';
import { recordedSchedule, witnessed } from './witness.ts';

/** Who says what the program itself puts on record. */
export const SYSTEM: By = { name: 'warmhours', role: 'system' };

/** A logger's file that has been read. */
export interface ImportRequest {
  readonly probe: string;
  /** Its name. */
  readonly file: string;
  readonly sha256: string;
  readonly readings: ColumnarReadings;
  /** Rows, or parts of rows, that do not count. */
  readonly rejected: number;
}

export interface Imported {
  readonly source: string;
  readonly from: string;
  readonly to: string;
  readonly rows: number;
}

interface StatementsParts {
  readonly state: SiteState;
  readonly views: SiteViews;
  readonly tally: Tally;
  readonly readings: Readings;
  readonly clock: Clock;
  readonly boot: number;
  /** Appends to the ledger and to the state. @throws CodedError `not-recording`. */
  readonly append: (said: readonly Said[]) => Promise<Appended[]>;
  /** Commits readings of a file. @throws CodedError `not-recording`. */
  readonly importReadings: (readings: Iterable<IncomingReading>) => Promise<ImportedReadings>;
  /** Brings what the readings show of these joints up to date. */
  readonly refresh: (joints: readonly string[]) => void;
  /** To be called when something has been said. */
  readonly onSaid: () => void;
}

/** Takes what people say, one after the other: each is checked against all that was said before it. */
export class Statements {
  readonly #parts: StatementsParts;
  #last: Promise<unknown> = Promise.resolve();

  constructor(parts: StatementsParts) {
    this.#parts = parts;
  }

  /**
   * Takes what somebody says. A joint that uses a schedule for the first time has the schedule and its compiled rate table put on
   * record with it, so that its hours can be recomputed for ever, whatever later versions of the program build in.
   * @throws CodedError `entry-refused` with every fault, `entry-questioned` with what has to be confirmed, `wrong-role`,
   * `clock-not-set`, or `not-recording`.
   */
  say(statement: Statement, by: By): Promise<Appended> {
    return this.inTurn(async () => {
      this.#mustKnowTheTime();
      this.#parts.refresh(this.#jointsBehind(statement));
      this.#check(statement, by);
      const { append, onSaid } = this.#parts;
      const kept = witnessed(statement, this.#parts);
      const before = this.#toRecordFirst(statement);
      const after = statement.kind === 'schedule.given' ? [recordedSchedule(statement.definition)] : [];
      const own = (each: SystemStatement) => ({ statement: each, by: SYSTEM });
      const appended = await append([...before.map(own), { statement: kept, by }, ...after.map(own)]);
      onSaid();
      return appended[before.length] as Appended;
    });
  }

  /**
   * Takes in a logger's file as a source of its own: its readings first, then the entry that makes them count.
   * @throws CodedError `entry-refused` for a file that is in already, `clock-not-set`, or `not-recording`.
   */
  importFile({ probe, file, sha256, readings, rejected }: ImportRequest, by: By): Promise<Imported> {
    return this.inTurn(async () => {
      this.#mustKnowTheTime();
      const { state, tally, clock, boot, append, importReadings, onSaid } = this.#parts;
      const source = sourceOf(probe, sha256);
      if (state.probes.get(probe)?.imports.some((known) => known.source === source)) {
        const message = `${file} is imported for probe "${probe}" already`;
        throw new CodedError('entry-refused', message, [{ path: 'file', message }]);
      }
      const other = [...state.probes.values()].find(({ imports }) => imports.some((known) => known.sha256 === sha256));
      if (other !== undefined) {
        const message = `the same file is imported for probe "${other.probe}"; if it is this one's, take it back there first`;
        throw new CodedError('entry-refused', message, [{ path: 'file', message }]);
      }
      const { taken } = await importReadings(importedReadings(source, readings, clock.now(), boot));
      tally.noteTaken(taken);
      const span = { from: iso(readings.atMs[0] as number), to: iso(readings.atMs.at(-1) as number) };
      const imported = { source, ...span, rows: readings.atMs.length };
      const statement = { kind: 'readings.imported', probe, file, sha256, rejected, ...imported } as const;
      await append([{ statement, by }]);
      onSaid();
      return imported;
    });
  }

  /** Does `work` after all that has been said so far, and before whatever is said next. */
  inTurn<T>(work: () => Promise<T>): Promise<T> {
    const done = this.#last.then(work);
    this.#last = done.catch(() => undefined);
    return done;
  }

  /** Resolves when all that has been said so far is on record, or refused. */
  async quiet(): Promise<void> {
    await this.#last;
  }

  #mustKnowTheTime(): void {
    const { clock } = this.#parts;
    if (clock.trusted) return;
    const time = iso(clock.now().wallMs);
    throw new CodedError('clock-not-set', `it is ${time} here; set the clock of this machine, then say it again`);
  }

  /** The joints whose findings a statement is checked against: those of the sump that it is about. */
  #jointsBehind(statement: Statement): readonly string[] {
    const { state } = this.#parts;
    const about =
      statement.kind === 'finding.decided' ? ownerOf(statement.finding) : 'joint' in statement ? statement.joint : undefined;
    const sump =
      'sump' in statement ? statement.sump : about === undefined ? undefined : (state.joints.get(about)?.sump ?? about);
    return sump === undefined ? [] : (state.sumps.get(sump)?.joints ?? []);
  }

  #check(statement: Statement, by: By): void {
    const roles = permittedRoles(statement.kind);
    const { state: site, views, clock } = this.#parts;
    const { seen } = views;
    const nowMs = clock.now().wallMs;
    const finding = statement.kind === 'finding.decided' ? seen.finding(statement.finding) : undefined;
    const allowed = finding?.mayDecide ?? roles;
    if (!roles.includes(by.role) || !allowed.includes(by.role))
      throw new CodedError('wrong-role', `that takes ${allowed.join(' or ')}; you are signed in as ${by.role}`);
    const context = { site, by, nowMs, seen };
    const said = (faults: readonly { path: string; message: string }[]) =>
      faults.map(({ path, message }) => `${path}: ${message}`).join('; ');
    const faults = faultsOf(statement, context);
    if (faults.length > 0) throw new CodedError('entry-refused', said(faults), faults);
    const questions = questionsOf(statement, context);
    if (questions.length > 0)
      throw new CodedError(
        'entry-questioned',
        said(questions),
        questions.map(({ code, path, message }) => ({ path, message, confirm: code })),
      );
  }

  /** The schedule or sequence that a statement is the first to use: later versions of the program may build in another one. */
  #toRecordFirst(statement: Statement): SystemStatement[] {
    const { state } = this.#parts;
    const { schedules, sequences, recordedSequences } = state;
    if (statement.kind === 'joint.added') {
      const definition = schedules.has(statement.schedule) ? undefined : scheduleNamed(state, statement.schedule);
      return definition === undefined ? [] : [recordedSchedule(definition)];
    }
    if (statement.kind !== 'sump.added') return [];
    const name = statement.sequence ?? testAndBackfill.name;
    const definition = recordedSequences.has(name) ? undefined : sequences.get(name);
    return definition === undefined ? [] : [{ kind: 'sequence.recorded', definition }];
  }
}
