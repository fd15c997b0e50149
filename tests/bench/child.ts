import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { createInterface } from 'node:readline';

/** A script of this folder, running: it prints one line of JSON when it has something to say. */
export interface Child<T> {
  readonly said: T;
  stop(): Promise<void>;
}

/** Starts `script` and waits for its line. @throws Error when it ends without one. */
export async function startChild<T>(script: string, ...args: (string | number)[]): Promise<Child<T>> {
  const child = spawn(process.execPath, [join(import.meta.dirname, script), ...args.map(String)], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const ended = once(child, 'exit');
  const said = await new Promise<T>((resolve, reject) => {
    createInterface({ input: child.stdout }).once('line', (line) => resolve(JSON.parse(line) as T));
    void ended.then(([code]) => reject(new Error(`${script} ended with ${code} before it said anything`)));
  });
  return {
    said,
    async stop() {
      child.kill();
      await ended;
    },
  };
}

/** Resident memory of a process now, MB. */
export function residentMb(pid: number): number {
  const kilobytes = /VmRSS:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))?.[1];
  return Number(kilobytes) / 1024;
}
