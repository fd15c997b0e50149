import type { Page } from 'playwright-core';

/**
 * Looks at the drawing itself: in which columns of the canvas the stroke of the first material probe stands, as stretches without a
 * break, in CSS pixels. Both the reference line and the axis use the same ink, so only what differs from row to row is taken:
 * `fromY` and `toY` bound the rows where nothing but the curve is drawn.
 */
export async function strokes(
  page: Page,
  rows: { readonly fromShare: number; readonly toShare: number },
): Promise<[number, number][]> {
  return page.evaluate<[number, number][]>(
    `(({ fromShare, toShare }) => {
      const canvas = document.querySelector('canvas[role="img"]');
      const pen = canvas.getContext('2d');
      const scale = canvas.width / canvas.clientWidth;
      const top = Math.round(canvas.height * fromShare), bottom = Math.round(canvas.height * toShare);
      const { data } = pen.getImageData(0, top, canvas.width, bottom - top);
      const ink = getComputedStyle(document.documentElement).color.match(/\\d+/g).map(Number);
      const inked = [];
      for (let x = 0; x < canvas.width; x++) {
        let found = false;
        for (let y = 0; y < bottom - top && !found; y++) {
          const at = 4 * (y * canvas.width + x);
          found = data[at + 3] > 200 && [0, 1, 2].every((part) => Math.abs(data[at + part] - ink[part]) < 40);
        }
        inked.push(found);
      }
      const stretches = [];
      inked.forEach((here, x) => {
        if (!here) return;
        const last = stretches.at(-1);
        if (last && x - last[1] <= 2) last[1] = x; else stretches.push([x, x]);
      });
      return stretches.map(([from, to]) => [from / scale, to / scale]);
    })(${JSON.stringify(rows)})`,
  );
}
