import { Worker } from 'node:worker_threads';
import { CodedError } from '../../edge/errors.ts';
import type { Verdict } from '../../edge/evidence/verify.ts';
import type { ToJudge } from './judgeThread.ts';

/** A bundle of the largest size that is taken is judged in a tenth of this. */
const JUDGED_MS = 120_000;
/** For what it unpacks and parses, MB. */
const HEAP_MB_MOST = 1024;

/** Judges bundles on a thread of their own, one at a time: each may unpack to half a gigabyte. */
export class Judge {
  #isBusy = false;

  /** @throws CodedError `busy` while another is judged, `too-large` for one that does not come to an end. */
  async judge(bytes: Uint8Array, trustedKey: string | null): Promise<Verdict> {
    if (this.#isBusy) throw new CodedError('busy', 'another bundle is being checked; try again in a moment');
    this.#isBusy = true;
    try {
      // A copy, so that its memory can be handed over whole.
      return await judged({ bytes: new Uint8Array(bytes), trustedKey });
    } finally {
      this.#isBusy = false;
    }
  }
}

async function judged(workerData: ToJudge & { readonly bytes: { readonly buffer: ArrayBuffer } }): Promise<Verdict> {
  const worker = new Worker(new URL('./judgeThread.ts', import.meta.url), {
    workerData,
    transferList: [workerData.bytes.buffer],
    resourceLimits: { maxOldGenerationSizeMb: HEAP_MB_MOST },
  });
  const timer = setTimeout(() => void worker.terminate(), JUDGED_MS);
  try {
    return await new Promise<Verdict>((resolve, reject) => {
      worker.once('message', resolve);
      worker.once('error', reject);
      worker.once('exit', () => reject(new Error(`no verdict within ${JUDGED_MS / 1000} s`)));
    });
  } catch (fault) {
    const why = (fault as Error).message;
    throw new CodedError(
      'too-large',
      `this bundle is too much for the service to check (${why}); use the command line or the page in it`,
    );
  } finally {
    clearTimeout(timer);
    await worker.terminate();
  }
}
