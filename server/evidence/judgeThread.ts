import { parentPort, workerData } from 'node:worker_threads';
import { verifyBundle } from '../../edge/evidence/verify.ts';

/** What the thread is started with. */
export interface ToJudge {
  readonly bytes: Uint8Array;
  readonly trustedKey: string | null;
}

const { bytes, trustedKey } = workerData as ToJudge;
parentPort?.postMessage(verifyBundle(bytes, { trustedKey }));
