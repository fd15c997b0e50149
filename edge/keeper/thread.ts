// The thread that alone writes the ledger. It is asked one thing at a time and answers each, in order.
import { dirname } from 'node:path';
import { type MessagePort, parentPort, workerData } from 'node:worker_threads';
import { Ledger } from '../ledger/ledger.ts';
import { LedgerUnsound } from '../ledger/signedCheckpoints.ts';
import { Signer } from '../ledger/signer.ts';
import { columnsOf, deliveriesOf } from './batch.ts';
import type { Answer, KeptBatch, Opened, Question } from './keeper.ts';

const port = parentPort as MessagePort;
const { path, site } = workerData as { path: string; site: string };

/** Faults after which nothing that is written can be trusted to be kept, or to be what was signed for. */
const OF_STORAGE: readonly unknown[] = ['ERR_SQLITE_ERROR', 'ERR_LEDGER_MOVED', 'ERR_LEDGER_UNSOUND'];

async function answer(ledger: Ledger, signer: Signer, question: Question): Promise<unknown> {
  switch (question.kind) {
    case 'deliver': {
      const { taken, takenInAll, setAside } = ledger.deliver(deliveriesOf(question.batch, site, question.boot));
      return { taken: columnsOf(taken, takenInAll), setAside } satisfies KeptBatch;
    }
    case 'import':
      return ledger.importReadings(question.readings);
    case 'append':
      return ledger.append(question.said, question.nowMs);
    case 'keepCheckpoints':
      return ledger.keepCheckpoints(question.checkpoints);
    case 'keepCursor':
      return ledger.keepCursor(question.name, question.seq);
    case 'seal':
      return ledger.seal(question.untilMs, question.taken);
    case 'checkpoint':
      return ledger.checkpoint((size, root, atMs) => signer.checkpoint(size, root, atMs), question.nowMs);
    case 'close':
      return ledger.close();
  }
}

function say(reply: Answer): void {
  port.postMessage(reply);
}

try {
  const ledger = new Ledger(path);
  const signer = Signer.open(dirname(path), site);
  // After a fault of the disk a further write may seem to succeed although pages are lost: nothing is written any more.
  let broken: Described | null = unsoundOf(ledger);
  const opened: Opened = { publicKey: signer.publicKey, unsound: broken?.message ?? null };
  port.on('message', ({ id, question }: { id: number; question: Question }) => {
    if (broken !== null && question.kind !== 'close') return say({ id, fault: broken });
    answer(ledger, signer, question).then(
      (value) => say({ id, value }),
      (caught: unknown) => {
        const fault = described(caught);
        if (fault.ofStorage) broken ??= fault;
        say({ id, fault });
      },
    );
    if (question.kind === 'close') port.unref();
  });
  say({ id: 0, value: opened });
} catch (fault) {
  say({ id: 0, fault: described(fault) });
}

interface Described {
  readonly message: string;
  readonly ofStorage: boolean;
}

function described(fault: unknown): Described {
  const { message, code } = fault as { message?: string; code?: string };
  return { message: message ?? String(fault), ofStorage: OF_STORAGE.includes(code) };
}

function unsoundOf(ledger: Ledger): Described | null {
  try {
    ledger.mustBeSound();
    return null;
  } catch (fault) {
    if (fault instanceof LedgerUnsound) return described(fault);
    throw fault;
  }
}
