import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { join } from 'node:path';

export interface CliRun {
  readonly code: number | null;
  readonly out: string;
  readonly err: string;
}

/** Runs the command line to its end, with nothing of this process's environment but the path and what is given. */
export async function runCli(args: readonly string[], environment: Readonly<Record<string, string>> = {}): Promise<CliRun> {
  const child = spawn(process.execPath, ['edge/cli.ts', ...args], {
    cwd: join(import.meta.dirname, '..', '..'),
    env: { PATH: process.env.PATH, ...environment },
    stdio: ['ignore', 'pipe', 'pipe'],
    timeout: 20_000,
    // One that hangs in its own ending would not heed a gentler one.
    killSignal: 'SIGKILL',
  });
  let out = '';
  let err = '';
  child.stdout.on('data', (chunk: Buffer) => (out += chunk.toString()));
  child.stderr.on('data', (chunk: Buffer) => (err += chunk.toString()));
  const [code] = (await once(child, 'close')) as [number | null];
  return { code, out, err };
}
