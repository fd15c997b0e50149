import type { HistoryView } from '../../../edge/tally/history.ts';
import { common } from '../../../web/text/en/common.ts';
import { joint as words } from '../../../web/text/en/joint.ts';
import { limit } from './figures.ts';
import type { JointInput } from './input.ts';
import { GREY, INK, RULE, type Sheet, type Style } from './sheet.ts';
import { roundStep } from './timeTicks.ts';

export const LABEL: Style = { size: 6.5, color: GREY };
const MARK: Style = { size: 6.5, bold: true };
/** Heights of the two panels and what is between them, pt. */
export const UPPER = 90;
export const LOWER = 48;
export const GAP = 9;
/** Numbers of an axis stand in so much room beside it. */
const NUMBER_WIDTH = 20;
/** Lines of probes in their order: whole, dashed, dotted, and so on again. */
const DASHES: readonly (readonly number[])[] = [[], [5, 2], [1, 1.6]];
/** On an axis that shows less, a tenth of a degree would look like weather. */
const LEAST_SPAN_CELSIUS = 6;

export interface Plot {
  readonly sheet: Sheet;
  readonly history: HistoryView;
  readonly input: JointInput;
  readonly x: (ms: number) => number;
  readonly left: number;
  readonly right: number;
}

/** Takes up the pen that a probe is drawn with. */
export function pen({ doc }: Sheet, index: number, role: 'material' | 'ambient'): void {
  const [on, off] = DASHES[index % DASHES.length] ?? [];
  doc.undash().lineJoin('round').lineCap('round');
  doc.lineWidth(role === 'material' ? 1 : 0.6).strokeColor(role === 'material' ? INK : GREY);
  if (on !== undefined && off !== undefined) doc.dash(on, { space: off });
}

/** What the probes measured, with the limits of the schedule as a probe has to show them. */
export function temperatures(plot: Plot, top: number): void {
  const { sheet, history, input, x } = plot;
  const { referenceCelsius, floorCelsius, law } = input.definition;
  const guard = input.guardCelsius ?? 0;
  const isMoisture = law.kind === 'moisture';
  const floor = { at: floorCelsius + guard, words: words.floorLine(limit(floorCelsius + guard)) };
  const full = isMoisture
    ? { at: referenceCelsius, words: `reference ${limit(referenceCelsius)}; the air has to be moist enough too` }
    : { at: referenceCelsius + guard, words: words.referenceLine(limit(referenceCelsius + guard)) };
  const values = history.series.flatMap(({ points }) => points.flatMap(([, celsius]) => celsius ?? []));
  let [low, high] = [Math.min(...values, floor.at) - 1.5, Math.max(...values, full.at) + 2];
  const spare = Math.max(0, LEAST_SPAN_CELSIUS - high + low) / 2;
  [low, high] = [low - spare, high + spare];
  const y = (celsius: number) => top + UPPER - ((celsius - low) / (high - low)) * UPPER;
  celsiusAxis(plot, top, low, high, y);
  fahrenheitAxis(plot, top, low, high, y);
  for (const { at } of [floor, full]) across(plot, y(at));
  history.series.forEach(({ points, role }, index) => {
    pen(sheet, index, role);
    polyline(sheet.doc, points, x, y);
  });
  for (const { at, words: label } of [floor, full]) patched(sheet, label, freeX(plot, label, y(at), y), y(at) - 3.2);
}

type Height = (value: number) => number;

function celsiusAxis({ sheet, left, right }: Plot, top: number, low: number, high: number, y: Height): void {
  const step = roundStep(high - low, 6);
  for (let at = Math.ceil(low / step); at * step <= high; at++) {
    sheet.doc
      .undash()
      .lineWidth(0.3)
      .strokeColor(RULE)
      .moveTo(left, y(at * step))
      .lineTo(right, y(at * step))
      .stroke();
    onAxis(sheet, at * step, left, y(at * step));
  }
  sheet.line('°C', left - NUMBER_WIDTH - 3, top - 10, { ...LABEL, align: 'right', width: NUMBER_WIDTH });
}

function fahrenheitAxis({ sheet, right }: Plot, top: number, low: number, high: number, y: Height): void {
  const fahrenheit = (celsius: number) => celsius * 1.8 + 32;
  const step = roundStep(fahrenheit(high) - fahrenheit(low), 6);
  for (let at = Math.ceil(fahrenheit(low) / step); at * step <= fahrenheit(high); at++)
    sheet.line(rounded(at * step), right + 3, y((at * step - 32) / 1.8) - 3, LABEL);
  sheet.line('°F', right + 3, top - 10, LABEL);
}

function across({ sheet, left, right }: Plot, y: number): void {
  sheet.doc.undash().dash(2, { space: 2 }).lineWidth(0.7).strokeColor(INK).moveTo(left, y).lineTo(right, y).stroke();
}

/** Where on a level words come in no curve's way and in that of no upright, as far left as may be; at the left if nowhere. */
function freeX({ sheet, history, input, x, left, right }: Plot, label: string, level: number, y: Height): number {
  const width = sheet.widthOf(label, { size: 6.5 });
  const uprights = [input.view.laidUpAt, ...input.view.stages.map(({ reachedAt }) => reachedAt)];
  const taken = [
    ...uprights.flatMap((at) => (at === null ? [] : [x(Date.parse(at))])),
    ...history.uncredited.flatMap(({ from, to }) => [x(from), x((from + to) / 2), x(to)]),
    ...history.series.flatMap(({ points }) =>
      points.flatMap(([ms, celsius]) => (celsius !== null && Math.abs(y(celsius) - level) < 5 ? [x(ms)] : [])),
    ),
  ];
  for (let from = left + 4; from + width + 4 < right; from += 6)
    if (!taken.some((at) => at > from - 4 && at < from + width + 4)) return from;
  return left + 4;
}

/** Words on a patch of white. */
function patched(sheet: Sheet, label: string, x: number, y: number): void {
  sheet.doc.rect(x - 2, y - 0.8, sheet.widthOf(label, { size: 6.5 }) + 4, 7.6).fill('#ffffff');
  sheet.line(label, x, y, { size: 6.5 });
}

function onAxis(sheet: Sheet, value: number, left: number, y: number): void {
  sheet.line(rounded(value), left - NUMBER_WIDTH - 3, y - 3, { ...LABEL, align: 'right', width: NUMBER_WIDTH });
}

/** A line through points, broken where one has no value. */
function polyline(
  doc: PDFKit.PDFDocument,
  points: readonly (readonly [number, number | null])[],
  x: (ms: number) => number,
  y: Height,
): void {
  let isDrawing = false;
  let isAny = false;
  for (const [ms, value] of points) {
    if (value !== null) {
      if (!isDrawing) doc.moveTo(x(ms), y(value));
      // Also to where it starts: a reading alone between two gaps is a dot.
      doc.lineTo(x(ms), y(value));
      isAny = true;
    }
    isDrawing = value !== null;
  }
  if (isAny) doc.stroke();
}

/** How the hours grew, and where they came to a stage. */
export function warmHours(plot: Plot, top: number): void {
  const { sheet, history, input, x, left, right } = plot;
  const { doc } = sheet;
  const { stages, laidUpAt } = input.view;
  const needed = [...new Set(stages.map(({ requiredHours }) => requiredHours))];
  const most = Math.max(...needed, ...history.progress.map(([, hours]) => hours)) * 1.15;
  const y = (hours: number) => top + LOWER - (hours / most) * LOWER;
  onAxis(sheet, 0, left, y(0) - 2);
  for (const hours of needed) {
    doc.undash().lineWidth(0.3).strokeColor(RULE).moveTo(left, y(hours)).lineTo(right, y(hours)).stroke();
    onAxis(sheet, hours, left, y(hours));
  }
  doc.undash().lineWidth(1.2).strokeColor(INK);
  polyline(doc, history.progress, x, y);
  if (laidUpAt !== null) upright(plot, x(Date.parse(laidUpAt)), top);
  for (const hours of needed) {
    const here = stages.filter(({ requiredHours }) => requiredHours === hours);
    const label = here.map(({ stage }) => common.stage[stage] ?? stage).join(', ');
    const reachedAt = here[0]?.reachedAt ?? null;
    if (reachedAt === null) {
      patched(sheet, `${label}: not reached`, left + 4, y(hours) - 3.2);
      continue;
    }
    const place = x(Date.parse(reachedAt));
    upright(plot, place, top);
    doc.circle(place, y(hours), 2.2).fill(INK);
    const width = sheet.widthOf(label, MARK);
    sheet.line(label, place - width - 4 < left ? place + 4 : place - width - 4, y(hours) - 9, MARK);
  }
  words.axisHours.split(' ').forEach((word, line) => {
    sheet.line(word.toLowerCase(), right + 3, top + 16 + 8 * line, LABEL);
  });
}

/** A line through both panels. */
function upright({ sheet }: Plot, x: number, top: number): void {
  sheet.doc
    .undash()
    .lineWidth(0.7)
    .strokeColor(INK)
    .moveTo(x, top - GAP - UPPER)
    .lineTo(x, top + LOWER)
    .stroke();
}

function rounded(value: number): string {
  return String(Math.round(value * 10) / 10 || 0);
}
