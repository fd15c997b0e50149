import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Config } from '../../edge/config.ts';
import { type RunningSite, startSite } from '../../edge/main.ts';

const root = join(import.meta.dirname, '..', '..');

/** Long enough for a start that first has to recover and seal, on a busy machine. */
const START_MS = 20_000;

export const TEST_TOKEN = 'a-token-for-tests-of-40-characters-here!';

/** Where a service is reached, whether it runs in this process or in one of its own. */
export interface Reachable {
  readonly httpUrl: string;
  readonly mqttPort: number;
  readonly token: string;
}

export interface TempFolder {
  readonly path: string;
  [Symbol.dispose](): void;
}

/** A folder under the system's temporary one that goes with its scope. */
export function tempFolder(): TempFolder {
  const path = mkdtempSync(join(tmpdir(), 'warmhours-test-'));
  return { path, [Symbol.dispose]: () => rmSync(path, { recursive: true, force: true }) };
}

/** A site in this process. `said` holds the lines it logged. */
export interface TestService extends RunningSite {
  readonly dataFolder: string;
  readonly said: string[];
  [Symbol.asyncDispose](): Promise<void>;
}

/** Starts a site in this process on free ports of loopback, probes without key, in a folder of its own unless one is given. */
export async function startService(overrides: Partial<Config> = {}, signInAs?: string): Promise<TestService> {
  const own = overrides.dataFolder === undefined ? tempFolder() : null;
  const dataFolder = overrides.dataFolder ?? (own as TempFolder).path;
  const said: string[] = [];
  const config: Config = {
    http: { host: '127.0.0.1', port: 0 },
    mqtt: { host: '127.0.0.1', port: 0 },
    site: 'yard',
    token: TEST_TOKEN,
    probeAuth: 'open',
    influx: null,
    forecast: null,
    webhook: null,
    ...overrides,
    dataFolder,
  };
  const running = await startSite(config, { log: (line) => said.push(line), ...(signInAs === undefined ? {} : { signInAs }) });
  return {
    ...running,
    dataFolder,
    said,
    async [Symbol.asyncDispose]() {
      await running.stop();
      own?.[Symbol.dispose]();
    },
  };
}

/** A site in a process of its own, as `npm start` runs it. */
export interface SpawnedService extends Reachable {
  readonly dataFolder: string;
  readonly pid: number;
  /** What it wrote to standard output and standard error. */
  readonly out: () => string;
  readonly err: () => string;
  /** Ends it without a word, as a power cut does. */
  kill(): Promise<void>;
  /** Asks it to stop; resolves to its exit code. */
  stop(): Promise<number | null>;
  [Symbol.asyncDispose](): Promise<void>;
}

export interface SpawnOptions {
  /** Settings beside or instead of the usual ones: free ports of loopback, site "yard", probes without key. */
  readonly settings?: Readonly<Record<string, string>>;
  readonly dataFolder?: string;
  /** Beside `serve`. */
  readonly args?: readonly string[];
  /** No file may grow beyond so many KiB: what a full disk feels like. */
  readonly fileKilobytesMost?: number;
}

/** Starts `serve` in a process of its own and waits until it says that it is there. */
export async function spawnService(options: SpawnOptions = {}): Promise<SpawnedService> {
  const own = options.dataFolder === undefined ? tempFolder() : null;
  const dataFolder = options.dataFolder ?? (own as TempFolder).path;
  const child = launch(dataFolder, options);
  const words = { out: '', err: '' };
  child.stdout?.on('data', (chunk: Buffer) => (words.out += chunk.toString()));
  child.stderr?.on('data', (chunk: Buffer) => (words.err += chunk.toString()));
  const closed = once(child, 'close') as Promise<[number | null]>;

  const kill = async () => {
    child.kill('SIGKILL');
    await closed;
  };
  const { httpUrl, mqttPort } = await started(child, words, closed).catch(async (fault: Error) => {
    await kill();
    own?.[Symbol.dispose]();
    throw fault;
  });
  return {
    httpUrl,
    mqttPort,
    token: options.settings?.WARMHOURS_TOKEN ?? TEST_TOKEN,
    dataFolder,
    pid: child.pid as number,
    out: () => words.out,
    err: () => words.err,
    kill,
    async stop() {
      child.kill('SIGTERM');
      const [code] = await closed;
      return code;
    },
    async [Symbol.asyncDispose]() {
      await kill();
      own?.[Symbol.dispose]();
    },
  };
}

function launch(dataFolder: string, { settings, args: more = [], fileKilobytesMost }: SpawnOptions): ChildProcess {
  const env = {
    PATH: process.env.PATH,
    NODE_COMPILE_CACHE: 'node_modules/.cache/warmhours',
    WARMHOURS_DATA: dataFolder,
    WARMHOURS_HTTP: '127.0.0.1:0',
    WARMHOURS_MQTT: '127.0.0.1:0',
    WARMHOURS_SITE: 'yard',
    WARMHOURS_TOKEN: TEST_TOKEN,
    WARMHOURS_PROBE_AUTH: 'open',
    ...settings,
  };
  const serve = [process.execPath, '--max-semi-space-size=4', 'edge/cli.ts', 'serve', ...more];
  const [command, ...args] =
    fileKilobytesMost === undefined ? serve : ['bash', '-c', `ulimit -f ${fileKilobytesMost}; exec "$@"`, 'limited', ...serve];
  return spawn(command as string, args, { cwd: root, env, stdio: ['ignore', 'pipe', 'pipe'] });
}

async function started(
  child: ChildProcess,
  words: { readonly out: string; readonly err: string },
  closed: Promise<unknown>,
): Promise<{ httpUrl: string; mqttPort: number }> {
  const late = AbortSignal.timeout(START_MS);
  let ended = false;
  void closed.then(() => {
    ended = true;
  });
  while (true) {
    const httpUrl = /: (http:\/\/\S+)\n/.exec(words.out)?.[1];
    const mqttPort = /Probes publish to port (\d+)/.exec(words.out)?.[1];
    if (httpUrl !== undefined && mqttPort !== undefined) return { httpUrl, mqttPort: Number(mqttPort) };
    if (ended || late.aborted)
      throw new Error(`the service ${ended ? 'ended' : 'did not start in time'}: ${words.out}${words.err}`);
    await Promise.race([once(child.stdout as NonNullable<ChildProcess['stdout']>, 'data'), closed, once(late, 'abort')]);
  }
}
