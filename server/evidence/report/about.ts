import { common } from '../../../web/text/en/common.ts';
import type { SiteClock } from './figures.ts';
import type { ReportInput, SealedAs } from './input.ts';
import type { Sheet } from './sheet.ts';

/** What every part of a report is written with. */
export interface Report {
  readonly sheet: Sheet;
  readonly input: ReportInput;
  readonly clock: SiteClock;
}

export function stageName(stage: string): string {
  return common.stage[stage] ?? stage;
}

/** What the signature is worth. It stands on every page. */
export function anchoredWords({ anchored }: Pick<SealedAs, 'anchored'>): string {
  return anchored ? 'Signed, and counter-signed outside the site.' : 'Signed, not yet anchored outside the site.';
}

/** The name of a place with its identifier, once where both are the same. */
export function named(label: string | null, id: string): string {
  return label === null || label === id ? id : `${label} (${id})`;
}

/** No more than so many characters, with a sign that there are more. */
export function clipped(text: string, most: number): string {
  return text.length <= most ? text : `${text.slice(0, most).trimEnd()} … (in full below)`;
}
