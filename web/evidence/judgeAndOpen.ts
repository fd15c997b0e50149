import { type Asked, judge, type Told } from './judge.ts';
import { type Opened, openBundle } from './opened.ts';

/** Judges a file, and reads back what is in it; null where that cannot be put together. */
export async function judgeAndOpen(asked: Asked, tell: (told: Told<Opened | null>) => void): Promise<void> {
  const bytes = await judge(asked, tell);
  if (bytes !== null) tell({ kind: 'opened', contents: openBundle(bytes) });
}
