import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { createServer } from 'node:net';
import { setTimeout as pause } from 'node:timers/promises';
import { z } from 'zod';

/** Debian's VictoriaMetrics, a time-series engine that shares no code with ours. */
export interface Victoria {
  readonly port: number;
  readonly url: string;
  /** Every sample that can be seen now, as `measurement_field/site/probe` → instant, UTC ms → value. Throws when an instant is there twice. */
  samples(): Promise<Map<string, Map<number, number>>>;
  /** Ends it in order, so that what it took is on its disk. */
  stop(): Promise<void>;
  [Symbol.asyncDispose](): Promise<void>;
}

const START_MS = 15_000;
const Exported = z.object({
  metric: z.object({ __name__: z.string(), site: z.string(), probe: z.string() }).strict(),
  values: z.array(z.number()),
  timestamps: z.array(z.number()),
});

/** A port that nobody listens on now. */
export async function freePort(): Promise<number> {
  const server = createServer().listen(0, '127.0.0.1');
  await once(server, 'listening');
  const address = server.address();
  server.close();
  await once(server, 'close');
  if (address === null || typeof address === 'string') throw new Error('there is no free port');
  return address.port;
}

/** Starts the engine over a folder and waits until it answers. Switched so that a point sent twice is kept once. */
export async function startVictoria(folder: string, port: number): Promise<Victoria> {
  const url = `http://127.0.0.1:${port}`;
  const child = spawn(
    'victoria-metrics',
    [
      `-storageDataPath=${folder}`,
      `-httpListenAddr=127.0.0.1:${port}`,
      '-retentionPeriod=100y',
      '-dedup.minScrapeInterval=1ms',
      '-memory.allowedBytes=64MB',
      '-loggerLevel=ERROR',
    ],
    { env: { PATH: process.env.PATH, GOMAXPROCS: '1' }, stdio: ['ignore', 'ignore', 'pipe'] },
  );
  let words = '';
  child.stderr.on('data', (chunk: Buffer) => (words += chunk.toString()));
  child.on('error', (fault) => (words += `victoria-metrics did not start (Debian: victoria-metrics): ${fault.message}`));
  const closed = once(child, 'close');
  const stop = async () => {
    child.kill('SIGTERM');
    await closed;
  };

  const late = AbortSignal.timeout(START_MS);
  while (!(await answers(url))) {
    if (late.aborted || child.exitCode !== null || child.pid === undefined) {
      child.kill('SIGKILL');
      throw new Error(`the engine did not start: ${words}`);
    }
    await pause(50);
  }
  return {
    port,
    url,
    samples: () => samplesAt(url),
    stop,
    [Symbol.asyncDispose]: stop,
  };
}

async function answers(url: string): Promise<boolean> {
  return fetch(`${url}/health`).then(
    ({ ok }) => ok,
    () => false,
  );
}

async function text(url: string): Promise<string> {
  const response = await fetch(url);
  if (!response.ok) throw new Error(`${url}: ${response.status} ${await response.text()}`);
  return response.text();
}

async function samplesAt(url: string): Promise<Map<string, Map<number, number>>> {
  // What was taken a moment ago can be seen soon after this.
  await text(`${url}/internal/force_flush`);
  const until = Math.ceil(Date.now() / 1000) + 3600;
  const query = new URLSearchParams({ 'match[]': '{__name__!=""}', start: '0', end: String(until) });
  const lines = (await text(`${url}/api/v1/export?${query}`)).split('\n').filter((line) => line !== '');
  const found = new Map<string, Map<number, number>>();
  for (const line of lines) {
    const { metric, values, timestamps } = Exported.parse(JSON.parse(line));
    const key = `${metric.__name__}/${metric.site}/${metric.probe}`;
    const own = found.get(key) ?? new Map<number, number>();
    found.set(key, own);
    timestamps.forEach((atMs, index) => {
      if (own.has(atMs)) throw new Error(`${key} has two samples at ${atMs}`);
      own.set(atMs, values[index] as number);
    });
  }
  return found;
}
