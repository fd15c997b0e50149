// A child process of the bench: bursts QoS 1 readings over raw sockets, as cheaply as it can, so that the service is what is measured.
// Arguments: port, site, clients, readings per client, readings in flight per client. Prints { acknowledged, seconds }.
import { once } from 'node:events';
import { connect, type Socket } from 'node:net';
import mqtt from 'mqtt-packet';

const [portText, site] = process.argv.slice(2);
const port = Number(portText);
const [clients = 8, readingsEach = 10_000, inFlightMost = 500] = process.argv.slice(4).map(Number);
/** Readings lie one second apart and end in the past, so that none is refused as being from the future. */
const firstSeconds = Math.floor(Date.now() / 1000) - readingsEach - 60;

async function signedIn(client: number): Promise<Socket> {
  const socket = connect(port, '127.0.0.1');
  socket.setNoDelay(true);
  await once(socket, 'connect');
  socket.write(
    mqtt.generate({
      cmd: 'connect',
      protocolId: 'MQTT',
      protocolVersion: 4,
      clean: true,
      clientId: `load-${client}`,
      keepalive: 0,
    }),
  );
  const [connack] = (await once(socket, 'data')) as [Buffer];
  if (connack[0] !== 0x20 || connack[3] !== 0) throw new Error(`client ${client} was refused: ${connack.toString('hex')}`);
  return socket;
}

function packets(client: number): Buffer[] {
  return Array.from({ length: readingsEach }, (_, index) => {
    const celsius = Math.round((8 + Math.sin(index / 500) * 4) * 16) / 16;
    const payload = `[{"n":"temperature","u":"Cel","v":${celsius},"t":${firstSeconds + index}}]`;
    return mqtt.generate({
      cmd: 'publish',
      topic: `cure/${site}/probe/load-${client}/senml`,
      payload,
      qos: 1,
      retain: false,
      dup: false,
      messageId: (index % 65_535) + 1,
    });
  });
}

async function burst(socket: Socket, queue: Buffer[]): Promise<void> {
  let sent = 0;
  let acknowledged = 0;
  const more = () => {
    const until = Math.min(queue.length, acknowledged + inFlightMost);
    if (until - sent < inFlightMost / 4 && until < queue.length) return;
    socket.write(Buffer.concat(queue.slice(sent, until)));
    sent = until;
  };
  await new Promise<void>((resolve, reject) => {
    let partial = 0;
    socket.on('data', (data: Buffer) => {
      // Only PUBACKs come here, four bytes each (MQTT 3.1.1 §3.4).
      partial += data.length;
      acknowledged += Math.floor(partial / 4);
      partial %= 4;
      if (acknowledged === queue.length) resolve();
      else more();
    });
    socket.on('close', () => reject(new Error(`the connection closed after ${acknowledged} acknowledgements`)));
    more();
  });
}

const sockets = await Promise.all(Array.from({ length: clients }, (_, client) => signedIn(client)));
const queues = sockets.map((_, client) => packets(client));
const startedMs = performance.now();
await Promise.all(sockets.map((socket, client) => burst(socket, queues[client] as Buffer[])));
const seconds = (performance.now() - startedMs) / 1000;
for (const socket of sockets) socket.destroy();
process.stdout.write(`${JSON.stringify({ acknowledged: clients * readingsEach, seconds })}\n`);
