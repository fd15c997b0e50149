import { connect, createServer, type Socket } from 'node:net';

/** A wire between a browser and a service that can fall silent without closing, as radio does. */
export interface Relay {
  readonly url: string;
  /** Nothing passes any more, on old connections and on new ones. */
  hush(): void;
  /** Old connections are gone, and new ones get no answer. */
  cut(): void;
  /** Old connections are gone, new ones pass. */
  mend(): void;
  [Symbol.asyncDispose](): Promise<void>;
}

export async function startRelay(toUrl: string): Promise<Relay> {
  const { hostname, port } = new URL(toUrl);
  const sockets = new Set<Socket>();
  let hushed = false;
  const keep = (socket: Socket) => {
    sockets.add(socket);
    socket.on('close', () => sockets.delete(socket));
    // How a connection ended does not matter here; both ends are closed together.
    socket.on('error', () => {});
  };
  const server = createServer((near) => {
    keep(near);
    if (hushed) return;
    const far = connect(Number(port), hostname);
    keep(far);
    near.pipe(far).pipe(near);
  });
  const end = () => {
    for (const socket of sockets) socket.destroy();
  };
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const address = server.address();
  if (address === null || typeof address === 'string') throw new Error('the relay has no port');
  return {
    url: `http://127.0.0.1:${address.port}`,
    hush() {
      hushed = true;
      for (const socket of sockets) {
        socket.unpipe();
        socket.pause();
      }
    },
    cut() {
      hushed = true;
      end();
    },
    mend() {
      hushed = false;
      end();
    },
    async [Symbol.asyncDispose]() {
      end();
      await new Promise((resolve) => server.close(resolve));
    },
  };
}
