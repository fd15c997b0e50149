import type { Asked, Told } from './judge.ts';

type Tell<Contents> = (told: Told<Contents>) => void;

/** Where bundles are judged: on a thread beside the page, or on the page itself where no thread can be had. */
export interface Bench<Contents> {
  readonly thread: () => Worker;
  readonly here: (asked: Asked, tell: Tell<Contents>) => Promise<unknown>;
}

/** What a thread sends back. */
export interface Answer<Contents> {
  readonly id: number;
  readonly told: Told<Contents>;
}

/** Has one bundle after the other judged, beside the page, so that it stays alive. A new one takes the place of the one before. */
export class Court<Contents> {
  readonly #bench: Bench<Contents>;
  #thread: Worker | null = null;
  #isWithout = false;
  #ids = 0;
  #going: { readonly asked: Asked; readonly tell: Tell<Contents> } | null = null;

  constructor(bench: Bench<Contents>) {
    this.#bench = bench;
  }

  judge(file: Blob, trustedKey: string | null, tell: Tell<Contents>): void {
    // What is still being judged cannot be called off otherwise.
    if (this.#going !== null) this.#end();
    this.#going = { asked: { id: ++this.#ids, file, trustedKey }, tell };
    this.#thread ??= this.#started();
    if (this.#thread === null) this.#here();
    else this.#thread.postMessage(this.#going.asked);
  }

  close(): void {
    this.#end();
    this.#going = null;
  }

  #end(): void {
    this.#thread?.terminate();
    this.#thread = null;
  }

  #started(): Worker | null {
    if (this.#isWithout) return null;
    try {
      const thread = this.#bench.thread();
      thread.addEventListener('message', ({ data }: MessageEvent<Answer<Contents>>) => this.#came(data));
      thread.addEventListener('error', () => {
        if (this.#thread === thread) this.#here();
      });
      return thread;
    } catch {
      return null;
    }
  }

  #here(): void {
    this.#end();
    this.#isWithout = true;
    const { asked } = this.#going ?? {};
    if (asked === undefined) return;
    const begin = () => void this.#bench.here(asked, (told) => this.#came({ id: asked.id, told }));
    // Once what is on the screen was drawn: nothing moves until it is through.
    setTimeout(begin, 50);
  }

  #came({ id, told }: Answer<Contents>): void {
    if (this.#going?.asked.id !== id) return;
    this.#going.tell(told);
  }
}
