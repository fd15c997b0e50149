// A child process of the bench: a real site on free ports, in the folder given. Prints its ports and token.
import { startSite } from '../../edge/main.ts';

const [dataFolder = ''] = process.argv.slice(2);
const running = await startSite(
  { dataFolder, http: { host: '127.0.0.1', port: 0 }, mqtt: { host: '127.0.0.1', port: 0 }, site: 'bench', token: 'bench'.repeat(8), probeAuth: 'open' },
  { log: (line) => process.stderr.write(`${line}\n`) },
);
process.stdout.write(`${JSON.stringify({ mqttPort: running.mqttPort, httpUrl: running.httpUrl, token: running.token })}\n`);
process.on('SIGTERM', () => void running.stop().then(() => process.exit(0)));
