import type { History } from '../api/shapes.ts';
import { dated, hoursDone, temperature } from '../look/format.ts';
import { jointText } from '../text/jointText.ts';
import { nameOf } from './config.ts';
import { gapCount, valuesOf } from './gaps.ts';

const HOUR_MS = 3_600_000;

/** What the drawing shows, in sentences. */
export function summaryOf(history: History): string[] {
  const toMs = Date.parse(history.to);
  const fromMs = Date.parse(history.from);
  const sentences = [jointText.summary.span(dated(fromMs), dated(toMs))];
  for (const series of history.series) {
    const values = valuesOf(series.points);
    const last = values.at(-1);
    const gaps = gapCount(series.points);
    const seen =
      last === undefined
        ? jointText.summary.noSeries(nameOf(series))
        : jointText.summary.series(
            nameOf(series),
            temperature(Math.min(...values)),
            temperature(Math.max(...values)),
            temperature(last),
          );
    sentences.push(gaps === 0 ? seen : `${seen} ${jointText.summary.gaps(gaps)}`);
  }
  const hours = valuesOf(history.progress);
  const [first, last] = [hours[0], hours.at(-1)];
  if (first !== undefined && last !== undefined) sentences.push(jointText.summary.warm(hoursDone(first), hoursDone(last)));
  if (history.uncredited.length > 0) sentences.push(jointText.summary.uncredited(lost('cold'), lost('unproven')));
  return sentences;

  function lost(reason: 'cold' | 'unproven'): string {
    const spans = history.uncredited.filter((span) => span.reason === reason);
    const lostMs = spans.reduce((sum, { from, to }) => sum + Math.max(0, Math.min(to, toMs) - Math.max(from, fromMs)), 0);
    return hoursDone(lostMs / HOUR_MS);
  }
}
