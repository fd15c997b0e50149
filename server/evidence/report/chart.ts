import { hoursOf } from '../../../edge/cure/schedule.ts';
import type { HistoryView } from '../../../edge/tally/history.ts';
import { joint as words } from '../../../web/text/en/joint.ts';
import { GAP, LABEL, LOWER, type Plot, pen, temperatures, UPPER, warmHours } from './chartCurves.ts';
import { hoursEarned, type SiteClock, temperature } from './figures.ts';
import type { JointInput } from './input.ts';
import { GREY, RULE, type Sheet } from './sheet.ts';
import { timeTicks } from './timeTicks.ts';

const LEFT = 26;
const RIGHT = 28;
const AXIS = 21;
const KEY = 12;
const HEIGHT = KEY + UPPER + GAP + LOWER + AXIS;
/** Between strokes of a hatching, pt. */
const HATCH = { cold: 5, unproven: 3 } as const;

/** Temperature and warm hours over time, drawn as lines from the readings themselves; a gap in them stays a gap. */
export function chart(sheet: Sheet, input: JointInput, history: HistoryView, clock: SiteClock): void {
  sheet.room(HEIGHT + 4);
  const top = sheet.y;
  const left = sheet.left + LEFT;
  const right = sheet.left + sheet.width - RIGHT;
  const [fromMs, toMs] = [Date.parse(history.from), Date.parse(history.to)];
  const x = (ms: number) => left + ((ms - fromMs) / Math.max(1, toMs - fromMs)) * (right - left);
  const plot: Plot = { sheet, history, input, x, left, right };
  const upperTop = top + KEY;
  const lowerTop = upperTop + UPPER + GAP;
  const bottom = lowerTop + LOWER;
  const draw = () => {
    key(plot, top);
    for (const reason of ['cold', 'unproven'] as const) hatch(plot, reason, upperTop, bottom);
    times(plot, clock, upperTop, bottom);
    temperatures(plot, upperTop);
    warmHours(plot, lowerTop);
    sheet.doc.undash();
    sheet.y = top + HEIGHT;
  };
  sheet.tag('Figure', draw, { alt: inWords(input, history, clock) });
  sheet.y += 4;
}

/** What the chart shows, for who cannot see it. */
function inWords({ view, hours, uncredited }: JointInput, history: HistoryView, clock: SiteClock): string {
  const { summary } = words;
  const series = history.series.map(({ label, points }) => {
    const values = points.flatMap(([, celsius]) => (celsius === null ? [] : [celsius]));
    const last = values.at(-1);
    if (last === undefined) return summary.noSeries(label);
    return summary.series(label, temperature(Math.min(...values)), temperature(Math.max(...values)), temperature(last));
  });
  const spent = (reason: 'cold' | 'unproven') =>
    (uncredited.reduce((sum, span) => sum + (span.reason === reason ? span.to - span.from : 0), 0) / 3_600_000).toFixed(1);
  return [
    `Chart of ${view.label}.`,
    summary.span(clock.at(history.from), clock.at(history.to)),
    ...series,
    `Warm hours rose to ${hoursEarned(hoursOf(hours?.creditPpmMs ?? 0))}.`,
    summary.uncredited(spent('cold'), spent('unproven')),
  ].join(' ');
}

/** Samples of what is drawn, in one line above it. */
function key({ sheet, history, left }: Plot, y: number): void {
  const { doc } = sheet;
  let x = left;
  const put = (words: string, sample: (x: number) => void, width = 18) => {
    sample(x);
    sheet.line(words, x + width + 3, y, LABEL);
    x += width + 3 + sheet.widthOf(words, LABEL) + 10;
  };
  history.series.forEach(({ label, role }, index) => {
    put(`${label}, ${role === 'material' ? words.inMaterial : words.inAir}`, (from) => {
      pen(sheet, index, role);
      doc
        .moveTo(from, y + 3.5)
        .lineTo(from + 18, y + 3.5)
        .stroke();
    });
  });
  for (const reason of ['cold', 'unproven'] as const) {
    if (!history.uncredited.some((span) => span.reason === reason)) continue;
    put(
      reason === 'cold' ? words.spanCold : words.spanUnproven,
      (from) => strokes(sheet, reason, [[from, from + 12]], y, y + 7),
      12,
    );
  }
}

function hatch({ sheet, history, x }: Plot, reason: 'cold' | 'unproven', top: number, bottom: number): void {
  const spans = history.uncredited.filter((span) => span.reason === reason).map(({ from, to }) => [x(from), x(to)] as const);
  if (spans.length > 0) strokes(sheet, reason, spans, top, bottom);
}

/** Cold: strokes that rise, far apart. Without proof: strokes that fall, close together. They differ without any colour. */
function strokes(
  { doc }: Sheet,
  reason: 'cold' | 'unproven',
  spans: readonly (readonly [number, number])[],
  top: number,
  bottom: number,
): void {
  const height = bottom - top;
  const step = HATCH[reason];
  doc.save().undash();
  for (const [from, to] of spans) doc.rect(from, top, Math.max(0.8, to - from), height);
  doc.clip().lineWidth(0.4).strokeColor('#8a9299');
  const least = Math.min(...spans.map(([from]) => from));
  const most = Math.max(...spans.map(([, to]) => to));
  for (let from = least - height; from < most; from += step)
    if (reason === 'cold') doc.moveTo(from, bottom).lineTo(from + height, top);
    else doc.moveTo(from, top).lineTo(from + height, bottom);
  doc.stroke().restore();
}

function times({ sheet, history, x, left, right }: Plot, clock: SiteClock, top: number, bottom: number): void {
  const { doc } = sheet;
  for (const { atMs, time, below } of timeTicks(clock, Date.parse(history.from), Date.parse(history.to), 9)) {
    doc
      .undash()
      .lineWidth(0.3)
      .strokeColor(RULE)
      .moveTo(x(atMs), top)
      .lineTo(x(atMs), bottom + 3)
      .stroke();
    const middle = { ...LABEL, align: 'center', width: 60 } as const;
    sheet.line(time, x(atMs) - 30, bottom + 4, middle);
    if (below !== '') sheet.line(below, x(atMs) - 30, bottom + 12, middle);
  }
  doc.lineWidth(0.5).strokeColor(GREY).moveTo(left, bottom).lineTo(right, bottom).stroke();
}
