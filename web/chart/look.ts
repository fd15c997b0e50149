/** Everything the drawing takes from the style sheet, as the canvas needs it. */
export interface ChartLook {
  readonly ink: string;
  readonly soft: string;
  readonly line: string;
  readonly sheet: string;
  readonly warm: string;
  readonly cold: string;
  readonly series: readonly string[];
  readonly air: string;
  /** Of what lies ahead: its likely course, and its bands, which let what lies under them through. */
  readonly ahead: string;
  readonly aheadFill: string;
  readonly warmFill: string;
  readonly font: string;
  /** Hatched: nobody can vouch for this span. */
  readonly unprovenFill: CanvasPattern | string;
  /** Dotted: proven, but too cold. */
  readonly coldFill: CanvasPattern | string;
}

/** Lines of the material probes differ by dash as well as by colour. */
const DASHES: readonly (readonly number[])[] = [[], [8, 4], [2, 3], [10, 3, 2, 3]];

/** Reads the colours in force on `element`. */
export function lookOf(element: HTMLElement): ChartLook {
  const colour = (name: string) => {
    element.style.color = `var(${name})`;
    const resolved = getComputedStyle(element).color;
    element.style.color = '';
    return resolved;
  };
  const soft = colour('--soft');
  const cold = colour('--cold');
  return {
    ink: colour('--ink'),
    soft,
    line: colour('--line'),
    sheet: colour('--sheet'),
    warm: colour('--ember'),
    cold,
    series: ['--series-1', '--series-2', '--series-3', '--series-4'].map(colour),
    air: colour('--series-air'),
    ahead: colour('--series-1'),
    aheadFill: colour('--band-temperature'),
    warmFill: colour('--band-warm'),
    font: getComputedStyle(element).fontFamily,
    unprovenFill: tile(element, 10, (pen) => hatch(pen, 10, colour('--edge'))),
    coldFill: tile(element, 8, (pen) => dots(pen, cold)),
  };
}

/** The stroke of the `index`-th material probe. */
export function strokeOf(look: ChartLook, index: number): { readonly colour: string; readonly dash: readonly number[] } {
  const count = look.series.length;
  return {
    colour: look.series[index % count] ?? look.ink,
    dash: DASHES[(index + Math.floor(index / count)) % DASHES.length] ?? [],
  };
}

export const AHEAD_DASH: readonly number[] = [4, 4];
export const AIR_DASH: readonly number[] = [1, 4];

function tile(element: HTMLElement, sizePx: number, draw: (pen: CanvasRenderingContext2D) => void): CanvasPattern | string {
  const canvas = element.ownerDocument.createElement('canvas');
  canvas.width = sizePx;
  canvas.height = sizePx;
  const pen = canvas.getContext('2d');
  if (pen === null) return 'transparent';
  draw(pen);
  return pen.createPattern(canvas, 'repeat') ?? 'transparent';
}

function hatch(pen: CanvasRenderingContext2D, sizePx: number, colour: string): void {
  pen.strokeStyle = colour;
  pen.globalAlpha = 0.55;
  pen.lineWidth = 1.25;
  pen.beginPath();
  // Drawn thrice, so that the stroke meets itself at the tile's corners.
  for (const shift of [-sizePx, 0, sizePx]) {
    pen.moveTo(shift - 1, sizePx + 1);
    pen.lineTo(shift + sizePx + 1, -1);
  }
  pen.stroke();
}

function dots(pen: CanvasRenderingContext2D, colour: string): void {
  pen.fillStyle = colour;
  pen.globalAlpha = 0.5;
  for (const [x, y] of [
    [2, 2],
    [6, 6],
  ] as const) {
    pen.beginPath();
    pen.arc(x, y, 1.1, 0, 2 * Math.PI);
    pen.fill();
  }
}
