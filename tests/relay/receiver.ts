import { once } from 'node:events';
import { createServer, type IncomingHttpHeaders, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';

export interface Received {
  readonly method: string | undefined;
  readonly url: string | undefined;
  readonly headers: IncomingHttpHeaders;
  readonly body: string;
}

/** How a request is answered: with a status and a body, or in any other way. */
export type Answer =
  | { readonly status: number; readonly body?: string | Uint8Array; readonly headers?: Readonly<Record<string, string>> }
  | ((response: ServerResponse, body: string) => void);

/** A real HTTP server that answers as it is told and remembers what it was asked. */
export interface Receiver {
  readonly url: string;
  readonly host: string;
  readonly received: Received[];
  /** Answers to the next requests; when it is empty, `otherwise` holds. */
  readonly script: Answer[];
  otherwise: Answer;
  [Symbol.asyncDispose](): Promise<void>;
}

export async function startReceiver(port = 0): Promise<Receiver> {
  const server = createServer(async (request, response) => {
    const chunks: Buffer[] = [];
    for await (const chunk of request) chunks.push(chunk as Buffer);
    const { method, url, headers } = request;
    const body = Buffer.concat(chunks).toString();
    receiver.received.push({ method, url, headers, body });
    const answer = receiver.script.shift() ?? receiver.otherwise;
    if (typeof answer === 'function') answer(response, body);
    else response.writeHead(answer.status, answer.headers).end(answer.body);
  }).listen(port, '127.0.0.1');
  await once(server, 'listening');
  const host = `127.0.0.1:${(server.address() as AddressInfo).port}`;
  const receiver: Receiver = {
    url: `http://${host}`,
    host,
    received: [],
    script: [],
    otherwise: { status: 204 },
    async [Symbol.asyncDispose]() {
      server.closeAllConnections();
      server.close();
      await once(server, 'close');
    },
  };
  return receiver;
}
