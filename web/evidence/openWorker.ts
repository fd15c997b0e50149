import '../jitless.ts';
import type { Answer } from './court.ts';
import type { Asked, Told } from './judge.ts';
import { judgeAndOpen } from './judgeAndOpen.ts';
import type { Opened } from './opened.ts';

addEventListener('message', ({ data }: MessageEvent<Asked>) => {
  void judgeAndOpen(data, (told: Told<Opened | null>) => postMessage({ id: data.id, told } satisfies Answer<Opened | null>));
});
