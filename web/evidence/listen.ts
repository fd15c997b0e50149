import type { Answer } from './court.ts';
import { type Asked, judge } from './judge.ts';

/** What a thread beside a page does: judges the bundles that it is sent. */
export function listen(): void {
  addEventListener('message', ({ data }: MessageEvent<Asked>) => {
    void judge(data, (told) => postMessage({ id: data.id, told } satisfies Answer<never>));
  });
}
