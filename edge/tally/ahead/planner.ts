import { Worker } from 'node:worker_threads';
import { CodedError } from '../../errors.ts';
import type { Advice, Asked } from './advice.ts';

/** Questions that wait while one is answered; a further one is turned away. */
const WAITING_MOST = 8;

/** Answers what takes too long to be worked out beside everything else: on a thread of its own, one question at a time. */
export class Planner {
  /** Begun with the first question. */
  #worker: Worker | null = null;
  #last: Promise<unknown> = Promise.resolve();
  #asked = 0;

  /** @throws CodedError `too-many` while as many wait as may; `internal` when the thread ends before it has answered. */
  async ask(asked: Asked): Promise<Advice> {
    if (this.#asked > WAITING_MOST)
      throw new CodedError('too-many', 'too many plans are being worked out; ask again in a moment');
    this.#asked++;
    const answer = this.#last.then(() => this.#answer(asked));
    this.#last = answer.catch(() => undefined);
    try {
      return await answer;
    } finally {
      this.#asked--;
    }
  }

  /** Ends the thread; a question that is being answered is not answered any more. */
  async close(): Promise<void> {
    await this.#worker?.terminate();
  }

  async #answer(asked: Asked): Promise<Advice> {
    const worker = this.#worker ?? this.#begin();
    return new Promise<Advice>((resolve, reject) => {
      const settle = (end: () => void) => {
        worker.unref();
        worker.off('message', answered).off('error', failed).off('exit', ended);
        end();
      };
      const answered = (advice: Advice) => settle(() => resolve(advice));
      const failed = (fault: Error) => settle(() => reject(fault));
      const ended = () => settle(() => reject(new CodedError('internal', 'the thread that plans has ended')));
      worker.on('message', answered).on('error', failed).on('exit', ended);
      worker.ref();
      worker.postMessage(asked);
    });
  }

  #begin(): Worker {
    const worker = new Worker(new URL('./plannerThread.ts', import.meta.url));
    const gone = () => {
      if (this.#worker === worker) this.#worker = null;
    };
    worker.once('error', gone).once('exit', gone);
    this.#worker = worker;
    return worker;
  }
}
