import { type Answers, type Asking, type Questions, solve } from './solve.ts';
import type { Asked } from './solveWorker.ts';

interface Waiting {
  readonly asked: Asked;
  readonly take: (answer: never) => void;
}

/**
 * Works things out on a thread beside the page, so that no slider waits for it. Of each kind one question is on its way and the
 * newest one waits; those between are never asked. Where no thread can be had it is done here, after the page was drawn.
 */
export class Solver {
  #worker: Worker | null;
  #ids = 0;
  readonly #going = new Map<string, Waiting>();
  readonly #next = new Map<string, Waiting>();

  constructor() {
    this.#worker = started();
    this.#worker?.addEventListener('message', ({ data }: MessageEvent<{ id: number; answer: never }>) =>
      this.#came(data.id, data.answer),
    );
    this.#worker?.addEventListener('error', () => this.#carryOnHere());
  }

  /** `slot`: who asks; a newer question of the same slot takes the place of an older one. */
  ask<Each extends Asking>(slot: string, asking: Each, question: Questions[Each], take: (answer: Answers[Each]) => void): void {
    const waiting: Waiting = { asked: { id: ++this.#ids, asking, question }, take };
    if (this.#going.has(slot)) this.#next.set(slot, waiting);
    else this.#send(slot, waiting);
  }

  close(): void {
    this.#worker?.terminate();
    this.#worker = null;
    this.#going.clear();
    this.#next.clear();
  }

  #send(slot: string, waiting: Waiting): void {
    this.#going.set(slot, waiting);
    if (this.#worker !== null) this.#worker.postMessage(waiting.asked);
    else setTimeout(() => this.#came(waiting.asked.id, solve(waiting.asked.asking, waiting.asked.question) as never));
  }

  #came(id: number, answer: never): void {
    const slot = [...this.#going].find(([, { asked }]) => asked.id === id)?.[0];
    const going = slot === undefined ? undefined : this.#going.get(slot);
    if (slot === undefined || going === undefined) return;
    this.#going.delete(slot);
    const next = this.#next.get(slot);
    this.#next.delete(slot);
    if (next !== undefined) this.#send(slot, next);
    going.take(answer);
  }

  #carryOnHere(): void {
    this.#worker?.terminate();
    this.#worker = null;
    for (const [slot, waiting] of [...this.#going]) this.#send(slot, waiting);
  }
}

function started(): Worker | null {
  try {
    return new Worker(new URL('./solveWorker.ts', import.meta.url), { type: 'module' });
  } catch {
    return null;
  }
}
