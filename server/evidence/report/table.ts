import type { Sheet, Style } from './sheet.ts';

export interface Column {
  readonly head: string;
  /** Its part of the width. */
  readonly share: number;
  readonly align?: 'right';
}

/** A paragraph in a cell. */
export interface Run extends Style {
  readonly text: string;
}

export type Cell = string | readonly Run[];

const SIZE = 8;
/** Between two columns. */
const PAD_X = 8;
const PAD_TOP = 2.5;
/** Beside the gap that every line has below it. */
const PAD_BOTTOM = 0.5;
const HEAD_STYLE: Style = { size: 7, bold: true };
/** What the rule below a row takes. */
const RULE_HEIGHT = 2;
/** A row that is cut is begun at the foot of a page only if so much of it fits there. */
const LEAST_PART = 60;
/** Head and first row. */
const LEAST_START = 30;

/** A table as wide as the page. It breaks between rows, and within one that is higher than a page; its head is repeated. */
export function table(sheet: Sheet, columns: readonly Column[], rows: readonly (readonly Cell[])[]): void {
  const layout = layoutOf(sheet, columns);
  sheet.room(LEAST_START);
  sheet.nest('Table', () => {
    sheet.nest('TR', () => head(sheet, columns, layout, false));
    for (const row of rows) {
      let rest: readonly (readonly Run[])[] | null = row.map((cell, column) => runsOf(cell, columns[column]));
      while (rest !== null) rest = part(sheet, columns, layout, rest);
    }
  });
  sheet.y += 3;
}

/** Height of the same table on one page, pt. */
export function tableHeight(sheet: Sheet, columns: readonly Column[], rows: readonly (readonly Cell[])[]): number {
  const layout = layoutOf(sheet, columns);
  const row = (cells: readonly Cell[]) =>
    rowHeight(
      sheet,
      layout,
      cells.map((cell, column) => runsOf(cell, columns[column])),
    );
  return rows.reduce((sum, cells) => sum + row(cells) + RULE_HEIGHT, headHeight(sheet, columns, layout) + RULE_HEIGHT + 3);
}

interface Place {
  readonly x: number;
  readonly width: number;
}

function layoutOf(sheet: Sheet, columns: readonly Column[]): Place[] {
  const whole = columns.reduce((sum, { share }) => sum + share, 0);
  let x = sheet.left;
  return columns.map(({ share }) => {
    const width = (sheet.width * share) / whole;
    const place = { x, width: width - PAD_X };
    x += width;
    return place;
  });
}

function runsOf(cell: Cell, column: Column | undefined): Run[] {
  const runs = typeof cell === 'string' ? [{ text: cell }] : cell;
  return runs.map((run) => ({ size: SIZE, ...(column?.align === undefined ? {} : { align: column.align }), ...run }));
}

function head(sheet: Sheet, columns: readonly Column[], layout: readonly Place[], isRepeated: boolean): void {
  const styles = columns.map(({ align }) => ({ ...HEAD_STYLE, ...(align === undefined ? {} : { align }) }));
  const y = sheet.y;
  columns.forEach(({ head: words }, column) => {
    const { x, width } = layout[column] as Place;
    const draw = () => {
      sheet.y = y + PAD_TOP;
      sheet.write(words, styles[column], x, width);
    };
    const asHead = { title: words, scope: 'Column' };
    if (isRepeated) sheet.artifact(draw, 'Pagination');
    else sheet.tag('TH', draw, asHead);
  });
  sheet.y = y + headHeight(sheet, columns, layout);
  sheet.rule(RULE_HEIGHT / 2);
}

/** Draws as much of a row as there is room for; what is left of it, or null. */
function part(
  sheet: Sheet,
  columns: readonly Column[],
  layout: readonly Place[],
  row: readonly (readonly Run[])[],
): (readonly Run[])[] | null {
  let room = sheet.bottom - sheet.y;
  const height = rowHeight(sheet, layout, row);
  if (height > room && (room < LEAST_PART || height <= sheet.pageHeight / 2)) {
    sheet.newPage();
    head(sheet, columns, layout, true);
    room = sheet.bottom - sheet.y;
  }
  const cut =
    height <= room
      ? row.map((runs) => [runs, []] as const)
      : row.map((runs, column) => cutAt(sheet, runs, layout[column]?.width ?? 0, room - PAD_TOP - PAD_BOTTOM));
  const drawn = cut.map(([fits]) => fits);
  const y = sheet.y;
  sheet.nest('TR', () =>
    drawn.forEach((runs, column) => {
      const { x, width } = layout[column] as Place;
      sheet.tag('TD', () => {
        sheet.y = y + PAD_TOP;
        for (const run of runs) if (run.text !== '') sheet.write(run.text, run, x, width);
      });
    }),
  );
  sheet.y = y + rowHeight(sheet, layout, drawn);
  sheet.rule(RULE_HEIGHT / 2);
  return cut.some(([, rest]) => rest.length > 0) ? cut.map(([, rest]) => rest) : null;
}

function headHeight(sheet: Sheet, columns: readonly Column[], layout: readonly Place[]): number {
  const heights = columns.map(({ head: words }, column) => sheet.heightOf(words, HEAD_STYLE, layout[column]?.width ?? 0));
  return Math.max(...heights) + PAD_TOP;
}

function rowHeight(sheet: Sheet, layout: readonly Place[], row: readonly (readonly Run[])[]): number {
  const heights = row.map((runs, column) => runsHeight(sheet, runs, layout[column]?.width ?? 0));
  return Math.max(...heights) + PAD_TOP + PAD_BOTTOM;
}

function runsHeight(sheet: Sheet, runs: readonly Run[], width: number): number {
  return runs.reduce((sum, run) => sum + (run.text === '' ? 0 : sheet.heightOf(run.text, run, width)), 0);
}

/** The runs that fit into `height`, the last of them cut between two words, and what is left. */
function cutAt(sheet: Sheet, runs: readonly Run[], width: number, height: number): [readonly Run[], readonly Run[]] {
  let used = 0;
  for (const [index, run] of runs.entries()) {
    const own = sheet.heightOf(run.text, run, width);
    if (used + own <= height) {
      used += own;
      continue;
    }
    // A word that is longer than a line or two is cut like any other text.
    const words = run.text.match(/\S{1,24}\s*/g) ?? [];
    let [fits, over] = [0, words.length];
    while (over - fits > 1) {
      const middle = Math.floor((fits + over) / 2);
      if (used + sheet.heightOf(words.slice(0, middle).join(''), run, width) <= height) fits = middle;
      else over = middle;
    }
    const [first, second] = [words.slice(0, fits).join('').trimEnd(), words.slice(fits).join('')];
    const before = [...runs.slice(0, index), ...(first === '' ? [] : [{ ...run, text: first }])];
    return [before, [{ ...run, text: second }, ...runs.slice(index + 1)]];
  }
  return [runs, []];
}
