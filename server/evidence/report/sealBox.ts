import { encode } from 'uqr';
import { anchoredWords, type Report } from './about.ts';
import type { ReportInput } from './input.ts';
import { GREY, INK, type Sheet } from './sheet.ts';

const QR_POINTS = 100;
/** White around the code, in its squares, that readers need (ISO/IEC 18004). */
const QUIET = 4;
const HEX_A_LINE = 32;

/** What a camera reads: enough to find the checkpoint that was signed, and with which key. */
export function checkpointCode({ site, sealed }: Pick<ReportInput, 'site' | 'sealed'>): string {
  const key = sealed.fingerprint.replace(/[^0-9a-f]/gi, '');
  return `warmhours-checkpoint:v1:${site}:${sealed.size}:${sealed.rootHash}:${key}`;
}

/** What was signed, as a code and as text, in a column `width` wide from `x`. Returns where it ends. */
export function sealBox({ sheet, input, clock }: Report, x: number, top: number, width: number): number {
  const { sealed } = input;
  sheet.tag('Figure', () => square(sheet, checkpointCode(input), x, top), { alt: `QR code: ${checkpointCode(input)}` });
  sheet.y = top + QR_POINTS + 2;
  const small = { size: 7, color: GREY };
  const put = (label: string, lines: readonly string[]) =>
    sheet.tag('P', () => {
      sheet.write(label, small, x, width);
      for (const line of lines) sheet.write(line, { size: 6.5, mono: true }, x, width);
    });
  sheet.tag('P', () => sheet.write(anchoredWords(sealed), { size: 8, bold: true }, x, width));
  put(`Root of the hash tree over ${sealed.size} leaves`, inLines(sealed.rootHash));
  put(`SHA-256 of the key ${sealed.keyName}`, inLines(sealed.fingerprint.replaceAll(' ', '')));
  sheet.tag('P', () => sheet.write(`Report made ${clock.at(sealed.madeAt)}`, small, x, width));
  return sheet.y;
}

function inLines(hex: string): string[] {
  return hex.match(new RegExp(`.{1,${HEX_A_LINE}}`, 'g')) ?? [];
}

/** Neighbours in a row are one rectangle: no hair lines between them in print. */
function square({ doc }: Sheet, text: string, x: number, y: number): void {
  const { data, size } = encode(text, { ecc: 'M', border: QUIET });
  const unit = QR_POINTS / size;
  data.forEach((row, line) => {
    for (let from = 0; from < row.length; from++) {
      if (!row[from]) continue;
      let to = from;
      while (row[to]) to++;
      doc.rect(x + from * unit, y + line * unit, (to - from) * unit, unit);
      from = to;
    }
  });
  doc.fill(INK);
}
