import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import { CodedError } from '../../edge/errors.ts';
import type { Subject } from '../../edge/evidence/bearing.ts';
import { folderOf, PAGE } from '../../edge/evidence/bundle.ts';
import type { LiveSite } from '../../edge/tally/liveSite.ts';
import type { Contents } from './bagStream.ts';
import { mustFit } from './fit.ts';
import { type Evidence, gather } from './gather.ts';
import { csvOf, packed } from './pack.ts';
import { type Paper, renderReport, reportInputOf } from './report/report.ts';
import { PackingTurns } from './turns.ts';

/** Whoever takes nothing of a packet for so long does not get the rest of it. */
const STALLED_MS = 60_000;

interface DeskParts {
  readonly live: LiveSite;
  /** Name and version of the program. */
  readonly program: string;
  /** Where the built pages lie. */
  readonly webFolder: string;
}

/** A file to be handed out, made as it is read. */
export interface HandedOut {
  readonly fileName: string;
  readonly body: Readable;
}

/** Makes what is handed out as evidence. What it rests on is sealed and signed for first, and thereby on record itself. */
export class EvidenceDesk {
  readonly #parts: DeskParts;
  readonly #turns = new PackingTurns();

  constructor(parts: DeskParts) {
    this.#parts = parts;
  }

  /** What is to be handed out of a sump. @throws CodedError `not-found`. */
  ofSump(name: string): Subject {
    const sump = this.#parts.live.state.sumps.get(name);
    if (sump === undefined) throw new CodedError('not-found', `there is no sump "${name}" on this site`);
    return { joints: [...sump.joints], sump: name };
  }

  /** What is to be handed out of some joints, each once. @throws CodedError `not-found`. */
  ofJoints(names: readonly string[]): Subject {
    const joints = [...new Set(names)];
    for (const joint of joints) this.#parts.live.views.jointState(joint);
    return { joints, sump: null };
  }

  /** The whole packet, a ZIP. @throws CodedError `busy`, `too-large`, `clock-not-set`, `not-recording`, `internal`. */
  packet(subject: Subject, paper: Paper): Promise<HandedOut> {
    return this.#handOut(subject, 'zip', async (evidence) => {
      mustFit(evidence.blocks);
      const page = await this.#page();
      return packed(evidence, { report: [await this.#report(evidence, paper)], page });
    });
  }

  /** The report alone, a PDF. @throws as `packet`. */
  report(subject: Subject, paper: Paper): Promise<HandedOut> {
    return this.#handOut(subject, 'pdf', async (evidence) => [await this.#report(evidence, paper)]);
  }

  /** The readings alone, as CSV. @throws as `packet`. */
  csv(subject: Subject): Promise<HandedOut> {
    return this.#handOut(subject, 'csv', async (evidence) => csvOf(evidence));
  }

  async #handOut(asked: Subject, ending: string, make: (evidence: Evidence) => Promise<Contents>): Promise<HandedOut> {
    const { live, program } = this.#parts;
    const over = this.#turns.begin([...asked.joints, ...(asked.sump === null ? [] : [`sump ${asked.sump}`])]);
    try {
      const { subject, size } = await this.#sealed(asked);
      const checkpoint = live.ledger.signed.at(size);
      if (checkpoint === null) throw new Error(`nothing was signed for ${size} leaves`);
      const evidence = await gather(live, subject, checkpoint, program);
      const contents = await make(evidence);
      const timer = setTimeout(() => body.destroy(), STALLED_MS).unref();
      const body = Readable.from(refreshing(timer, contents), { objectMode: false });
      body.once('close', () => {
        clearTimeout(timer);
        over();
      });
      return { fileName: `${folderOf(live.site, subject)}.${ending}`, body };
    } catch (fault) {
      over();
      throw fault;
    }
  }

  /** Seals the joints, those too that came to the sump meanwhile. */
  async #sealed(asked: Subject): Promise<{ readonly subject: Subject; readonly size: number }> {
    const { live } = this.#parts;
    for (let subject = asked; ; subject = this.ofSump(asked.sump ?? '')) {
      const size = await live.sealJoint(...subject.joints);
      const isWhole = asked.sump === null || this.ofSump(asked.sump).joints.join() === subject.joints.join();
      if (isWhole) return { subject, size };
    }
  }

  #report({ bundle, record }: Evidence, paper: Paper): Promise<Uint8Array> {
    const { tree, key, madeAt, anchored } = bundle;
    const joints = record.joints.map(({ joint }) => joint);
    const sealed = { ...tree, fingerprint: key.fingerprint, keyName: key.name, madeAt, anchored };
    return renderReport(reportInputOf(this.#parts.live, joints, sealed), paper);
  }

  async #page(): Promise<Uint8Array> {
    const path = join(this.#parts.webFolder, PAGE);
    return readFile(path).catch((fault: NodeJS.ErrnoException) => {
      const what = fault.code === 'ENOENT' ? 'is not there' : `cannot be read (${fault.message})`;
      throw new CodedError(
        'internal',
        `the page that checks packets, ${PAGE}, ${what} among the built pages; build the pages, then ask again`,
      );
    });
  }
}

/** The same chunks; the timer begins anew with each that is taken. */
async function* refreshing(timer: NodeJS.Timeout, chunks: Contents): AsyncGenerator<string | Uint8Array> {
  for await (const chunk of chunks) {
    yield chunk;
    timer.refresh();
  }
}
