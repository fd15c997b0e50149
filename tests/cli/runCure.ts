import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect } from 'vitest';
import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import type { Schedule } from '../../edge/cure/schedule.ts';
import { cure } from '../../edge/verbs/cure.ts';
import type { CureReport } from '../../edge/verbs/cureReport.ts';

export const folder = mkdtempSync(join(tmpdir(), 'warmhours-cure-'));
afterAll(() => rmSync(folder, { recursive: true }));

export const laminate = builtInSchedules.find((schedule) => schedule.name === 'polyester-laminate') as Schedule;

let files = 0;

/** Writes a file for the verb to read. */
export function file(content: string | Uint8Array, ending = '.csv'): string {
  const path = join(folder, `file-${++files}${ending}`);
  writeFileSync(path, content);
  return path;
}

export async function run(...args: string[]): Promise<{ code: number; out: string[]; err: string[] }> {
  const out: string[] = [];
  const err: string[] = [];
  const code = await cure(args, { out: (line) => out.push(line), err: (line) => err.push(line) });
  return { code, out, err };
}

/** The JSON report of a file that must be readable, judged as a polyester laminate. */
export async function judged(content: string | Uint8Array, ...options: string[]): Promise<CureReport> {
  const { code, out, err } = await run(file(content), '--schedule', 'polyester-laminate', '--json', ...options);
  expect({ code, err, lines: out.length }).toEqual({ code: 0, err: [], lines: 1 });
  return JSON.parse(out[0] as string) as CureReport;
}
