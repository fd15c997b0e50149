import '../../jitless.ts';
import { type Asking, type Questions, solve } from './solve.ts';

/** What is asked of the thread beside the page. */
export interface Asked<Each extends Asking = Asking> {
  readonly id: number;
  readonly asking: Each;
  readonly question: Questions[Each];
}

addEventListener('message', ({ data }: MessageEvent<Asked>) => {
  postMessage({ id: data.id, answer: solve(data.asking, data.question) });
});
