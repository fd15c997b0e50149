import { once } from 'node:events';
import { type ClientRequest, type IncomingMessage, request } from 'node:http';
import type { Reachable } from './service.ts';

export interface StreamEvent {
  readonly event: string;
  readonly data: unknown;
}

/** A watcher of the live stream that can stop reading, as a phone in a tunnel does. */
export class EventStream {
  readonly events: StreamEvent[] = [];
  readonly status: number;
  readonly #request: ClientRequest;
  readonly #response: IncomingMessage;
  #text = '';
  #arrived = Promise.withResolvers<void>();
  ended = false;

  static async open(service: Reachable): Promise<EventStream> {
    const asked = request(`${service.httpUrl}/api/live`, { agent: false, headers: { authorization: `Bearer ${service.token}` } });
    asked.end();
    const [response] = (await once(asked, 'response')) as [IncomingMessage];
    return new EventStream(asked, response);
  }

  private constructor(asked: ClientRequest, response: IncomingMessage) {
    this.#request = asked;
    this.#response = response;
    this.status = response.statusCode ?? 0;
    response.setEncoding('utf8');
    response.on('data', (chunk: string) => this.#take(chunk));
    const end = () => {
      this.ended = true;
      this.#wake();
    };
    response.on('close', end);
    response.on('error', end);
    asked.on('error', end);
  }

  pause(): void {
    this.#response.pause();
  }

  resume(): void {
    this.#response.resume();
  }

  close(): void {
    this.#request.destroy();
  }

  named(event: string): unknown[] {
    return this.events.filter((one) => one.event === event).map(({ data }) => data);
  }

  /** Waits until `seen` holds, looking again at every event. Throws when the stream ends before. */
  async until(seen: () => boolean): Promise<void> {
    while (!seen()) {
      if (this.ended) throw new Error(`the stream ended after ${this.events.length} events`);
      await this.#arrived.promise;
    }
  }

  async end(): Promise<void> {
    while (!this.ended) await this.#arrived.promise;
  }

  #take(chunk: string): void {
    const blocks = (this.#text + chunk).split('\n\n');
    this.#text = blocks.pop() ?? '';
    for (const block of blocks) {
      const [, event, data] = /^event: (\w+)\ndata: (.*)$/.exec(block) ?? [];
      if (event === undefined || data === undefined) throw new Error(`no event: ${block.slice(0, 200)}`);
      this.events.push({ event, data: JSON.parse(data) });
    }
    this.#wake();
  }

  #wake(): void {
    this.#arrived.resolve();
    this.#arrived = Promise.withResolvers();
  }
}
