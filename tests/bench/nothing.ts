// A child process of the bench: the same broker as the service, storing nothing. Prints its port.

import { createServer } from 'node:net';
import { Aedes } from 'aedes';

const broker = await Aedes.createBroker({ queueLimit: 1_000 });
const server = createServer((socket) => {
  socket.setNoDelay(true);
  broker.handle(socket);
});
server.listen(0, '127.0.0.1', () => {
  const address = server.address();
  process.stdout.write(`${JSON.stringify({ mqttPort: typeof address === 'object' && address !== null ? address.port : 0 })}\n`);
});
