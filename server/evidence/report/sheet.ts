import PDFDocument from 'pdfkit';
import { winAnsi } from './winAnsi.ts';

export type Paper = 'letter' | 'a4';

const SIDE = 46;
const TOP = 38;
/** Room for two lines of footer. */
const BOTTOM = 52;
const LINE_GAP = 1.5;

export const INK = '#1b1f22';
export const GREY = '#5a6268';
export const RULE = '#b9c0c5';

/** How a piece of text is set; 8.5 pt, regular and black unless it says otherwise. */
export interface Style {
  readonly size?: number;
  readonly bold?: boolean;
  readonly mono?: boolean;
  readonly color?: string;
  readonly strike?: boolean;
  readonly align?: 'left' | 'right' | 'center';
}

interface About {
  readonly title: string;
  readonly program: string;
  readonly madeAt: Date;
}

/**
 * A document that grows downwards, page by page. Everything on it is either in the tree of tagged structure or marked as an
 * artifact, so that whatever reads it aloud reads what matters, in order.
 */
export class Sheet {
  readonly doc: PDFKit.PDFDocument;
  readonly #bytes: Promise<Uint8Array>;
  readonly #root: PDFKit.PDFStructureElement;
  #parent: PDFKit.PDFStructureElement;
  #chapter: PDFKit.PDFOutline;
  /** Pages with text that the typeface cannot write. */
  readonly #escaped = new Set<number>();

  constructor(paper: Paper, { title, program, madeAt }: About) {
    this.doc = new PDFDocument({
      size: paper === 'a4' ? 'A4' : 'LETTER',
      margins: { top: TOP, bottom: BOTTOM, left: SIDE, right: SIDE },
      bufferPages: true,
      pdfVersion: '1.7',
      tagged: true,
      lang: 'en-US',
      displayTitle: true,
      info: { Title: title, Creator: program, Producer: program, CreationDate: madeAt },
    });
    this.#bytes = bytesOf(this.doc);
    this.#root = this.doc.struct('Document');
    this.doc.addStructure(this.#root);
    this.#parent = this.#root;
    this.#chapter = this.doc.outline;
  }

  get left(): number {
    return SIDE;
  }

  get width(): number {
    return this.doc.page.width - 2 * SIDE;
  }

  get y(): number {
    return this.doc.y;
  }

  set y(y: number) {
    this.doc.x = SIDE;
    this.doc.y = y;
  }

  /** Lowest place for text. */
  get bottom(): number {
    return this.doc.page.height - BOTTOM;
  }

  /** From the top of an empty page to its bottom. */
  get pageHeight(): number {
    return this.bottom - TOP;
  }

  /** Goes on on a new page unless so much room is left on this one. True: it did. */
  room(height: number): boolean {
    if (this.y + height <= this.bottom) return false;
    this.newPage();
    return true;
  }

  newPage(): void {
    this.doc.addPage();
    this.y = TOP;
  }

  /** A heading with its bookmark; level 1 begins a chapter, and what follows lies below it. */
  heading(level: 1 | 2, words: string, bookmark = words): void {
    const isAtTop = this.room(level === 1 ? 140 : 80) || this.y === TOP;
    if (!isAtTop) this.y += level === 1 ? 20 : 9;
    const place = { expanded: level === 1, top: this.y - 6, left: this.doc.page.width };
    if (level === 1) this.#chapter = this.doc.outline.addItem(bookmark, place);
    else this.#chapter.addItem(bookmark, place);
    this.tag(`H${level}`, () => this.write(words, level === 1 ? { size: 17, bold: true } : { size: 10.5, bold: true }));
    this.y += level === 1 ? 3 : 2;
  }

  paragraph(words: string, style: Style = {}): void {
    this.tag('P', () => this.write(words, style));
    this.y += 3;
  }

  /** Draws something as an element of the structure. */
  tag(type: string, draw: () => void, options: { title?: string; alt?: string } = {}): void {
    this.#parent.add(this.doc.struct(type, options, draw));
  }

  /** Whatever is tagged during `work` lies within one element of this type. */
  nest(type: string, work: () => void): void {
    const outer = this.#parent;
    this.#parent = this.doc.struct(type);
    outer.add(this.#parent);
    work();
    this.#parent.end();
    this.#parent = outer;
  }

  /** Draws what only looks: rules, frames, what stands on every page. */
  artifact(draw: () => void, type: 'Layout' | 'Pagination' = 'Layout'): void {
    this.doc.markContent('Artifact', { type });
    draw();
    this.doc.endMarkedContent();
  }

  /** A thin line across, with so much room above and below it. */
  rule(below: number): void {
    const y = this.y + below;
    this.artifact(() =>
      this.doc
        .lineWidth(0.5)
        .strokeColor(RULE)
        .moveTo(SIDE, y)
        .lineTo(SIDE + this.width, y)
        .stroke(),
    );
    this.y = y + below;
  }

  /** Text from here on downwards, across the page or `width` wide from `x`; it may run on over pages. */
  write(words: string, style: Style = {}, x = SIDE, width = this.width): void {
    const before = this.page;
    const { text, isWhole } = winAnsi(words);
    this.#set(style);
    this.doc.text(text, x, this.doc.y, {
      width,
      lineGap: LINE_GAP,
      align: style.align ?? 'left',
      ...(style.strike ? { strike: true } : {}),
    });
    this.doc.x = SIDE;
    if (isWhole) return;
    this.#escaped.add(before);
    this.#escaped.add(this.page);
  }

  /** One line with its top at `y`, which may be anywhere; nothing else moves. */
  line(words: string, x: number, y: number, style: Style & { readonly width?: number } = {}): void {
    const { text, isWhole } = winAnsi(words);
    const kept = this.doc.y;
    this.#set(style);
    const wide = this.doc.widthOfString(text);
    const { align = 'left', width = 0 } = style;
    const shift = align === 'right' ? width - wide : align === 'center' ? (width - wide) / 2 : 0;
    this.doc.text(text, x + shift, y, { lineBreak: false });
    this.y = kept;
    if (!isWhole) this.#escaped.add(this.page);
  }

  heightOf(words: string, style: Style, width: number): number {
    this.#set(style);
    return this.doc.heightOfString(winAnsi(words).text, { width, lineGap: LINE_GAP });
  }

  widthOf(words: string, style: Style): number {
    this.#set(style);
    return this.doc.widthOfString(winAnsi(words).text);
  }

  /** Counted from 0. */
  get page(): number {
    return this.doc.bufferedPageRange().count - 1;
  }

  #set({ size = 8.5, bold = false, mono = false, color = INK }: Style): void {
    this.doc
      .font(mono ? 'Courier' : bold ? 'Helvetica-Bold' : 'Helvetica')
      .fontSize(size)
      .fillColor(color);
  }

  /**
   * Puts two lines at the foot of every page, its number beside them, and `escapes` on those with signs that could not be written;
   * then nothing more can be drawn. Rejects with what the library throws.
   */
  finish(foot: readonly [string, string], escapes: string): Promise<Uint8Array> {
    const { count } = this.doc.bufferedPageRange();
    for (let page = 0; page < count; page++) {
      this.doc.switchToPage(page);
      const y = this.bottom + 12;
      const style = { size: 7, color: GREY };
      this.y = y - 4;
      this.artifact(() => {
        if (this.#escaped.has(page)) this.line(escapes, SIDE, y - 13, style);
        this.doc
          .lineWidth(0.5)
          .strokeColor(RULE)
          .moveTo(SIDE, y - 4)
          .lineTo(SIDE + this.width, y - 4)
          .stroke();
        this.line(foot[0], SIDE, y, style);
        this.line(foot[1], SIDE, y + 10, style);
        this.line(`Page ${page + 1} of ${count}`, SIDE, y, { ...style, align: 'right', width: this.width });
      }, 'Pagination');
    }
    this.#root.end();
    this.doc.end();
    return this.#bytes;
  }
}

function bytesOf(doc: PDFKit.PDFDocument): Promise<Uint8Array> {
  const chunks: Uint8Array[] = [];
  return new Promise((resolve, reject) => {
    doc.on('data', (chunk: Uint8Array) => chunks.push(chunk));
    doc.on('end', () => resolve(new Uint8Array(Buffer.concat(chunks))));
    doc.on('error', reject);
  });
}
