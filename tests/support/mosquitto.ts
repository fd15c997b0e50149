import { spawn } from 'node:child_process';

export interface Publication {
  readonly port: number;
  readonly topic: string;
  readonly payload: string | Uint8Array;
  readonly qos: 0 | 1 | 2;
  readonly username?: string;
  readonly password?: string;
  readonly retain?: boolean;
}

/** A broker that does not acknowledge would keep the program waiting for ever. */
const PATIENCE_MS = 15_000;

/**
 * Publishes one message to a broker on this machine with Debian's mosquitto_pub, a client that shares no code with ours.
 * Resolves once the broker has acknowledged as `qos` asks. Rejects with what the program said when it could not connect, was
 * turned away, got no acknowledgement in time or is not installed.
 */
export function publishWithMosquitto(publication: Publication): Promise<void> {
  const { port, topic, payload, qos, username, password, retain } = publication;
  const args = ['-h', '127.0.0.1', '-p', String(port), '-t', topic, '-q', String(qos), '-s'];
  if (username !== undefined) args.push('-u', username);
  if (password !== undefined) args.push('-P', password);
  if (retain) args.push('-r');

  return new Promise((resolve, reject) => {
    const client = spawn('mosquitto_pub', args, { stdio: ['pipe', 'ignore', 'pipe'], timeout: PATIENCE_MS });
    const said: Buffer[] = [];
    client.stderr.on('data', (chunk: Buffer) => said.push(chunk));
    client.on('error', (error) => reject(new Error(`mosquitto_pub did not start (Debian: mosquitto-clients): ${error.message}`)));
    client.on('close', (code, signal) => {
      const words = Buffer.concat(said).toString().trim();
      // A warning on a good exit still says that the message is not where it should be.
      if (code === 0 && words === '') resolve();
      else reject(new Error(`mosquitto_pub to ${topic} on port ${port} ended with ${code ?? signal}: ${words || 'no word'}`));
    });
    // The program may end before it has read its input; its exit tells why.
    client.stdin.on('error', () => {});
    client.stdin.end(payload);
  });
}
