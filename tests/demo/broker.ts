import { once } from 'node:events';
import { type AddressInfo, createServer, type Server, type Socket } from 'node:net';

import { Aedes, type PublishPacket } from 'aedes';

export interface Heard {
  readonly topic: string;
  readonly payload: string;
  readonly qos: number;
  readonly retain: boolean;
  readonly client: string | null;
}

/** A real broker on a free port of this machine that remembers what was published to it. */
export class TestBroker {
  readonly heard: Heard[] = [];
  readonly logins: { client: string; username: string | undefined; password: string | undefined }[] = [];
  /** So many more messages are acknowledged; after them the broker is silent. */
  answersLeft = Number.POSITIVE_INFINITY;
  #broker: Aedes | null = null;
  #server: Server | null = null;
  readonly #sockets = new Set<Socket>();

  /** Throws if the port is taken. With `key`, only that password is let in. */
  async start(port = 0, key?: string): Promise<void> {
    const broker = await Aedes.createBroker({
      authenticate: (client, username, password, done) => {
        this.logins.push({ client: client.id, username, password: password?.toString() });
        if (key === undefined || password?.toString() === key) done(null, true);
        else done(Object.assign(new Error('no'), { returnCode: 5 }), false);
      },
      authorizePublish: (client, packet, done) => {
        this.heard.push(heardOf(packet, client?.id ?? null));
        if (this.answersLeft-- > 0) done(null);
      },
    });
    const server = createServer((socket) => {
      this.#sockets.add(socket);
      socket.on('close', () => this.#sockets.delete(socket));
      broker.handle(socket);
    });
    server.listen(port, '127.0.0.1');
    await once(server, 'listening');
    this.#broker = broker;
    this.#server = server;
  }

  get port(): number {
    const address = this.#server?.address() as AddressInfo | undefined;
    if (address === undefined) throw new Error('the broker is not running');
    return address.port;
  }

  get url(): string {
    return `mqtt://127.0.0.1:${this.port}`;
  }

  on(leaf: string): Heard[] {
    return this.heard.filter(({ topic }) => topic.endsWith(leaf));
  }

  /** Breaks every connection without a word. */
  cut(): void {
    for (const socket of this.#sockets) socket.destroy();
  }

  async stop(): Promise<void> {
    this.cut();
    const [server, broker] = [this.#server, this.#broker];
    this.#server = null;
    this.#broker = null;
    if (server) await new Promise<void>((resolve) => server.close(() => resolve()));
    if (broker) await new Promise<void>((resolve) => broker.close(resolve));
  }
}

function heardOf({ topic, payload, qos, retain }: PublishPacket, client: string | null): Heard {
  return { topic, payload: payload.toString(), qos, retain, client };
}

/** Every sample in what was heard, in the order of arrival. */
export function samplesIn(heard: readonly Heard[]): { topic: string; atMs: number; celsius: number }[] {
  return heard.flatMap(({ topic, payload }) => {
    const records: { bt?: number; n: string; t?: number; v: number }[] = JSON.parse(payload);
    const baseSeconds = records[0]?.bt ?? 0;
    return records
      .filter(({ n }) => n === 'temperature')
      .map(({ t, v }) => ({ topic, atMs: Math.round((baseSeconds + (t ?? 0)) * 1000), celsius: v }));
  });
}
