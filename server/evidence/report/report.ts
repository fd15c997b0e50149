import { anchoredWords, type Report } from './about.ts';
import { closing } from './closing.ts';
import { entryList } from './entryList.ts';
import { SiteClock } from './figures.ts';
import type { ReportInput } from './input.ts';
import { instruments } from './instruments.ts';
import { jointDetails } from './jointDetails.ts';
import { jointPage } from './jointPage.ts';
import { overview } from './overview.ts';
import { type Paper, Sheet } from './sheet.ts';
import { waterTestDetails } from './waterTests.ts';

export type { ReportInput, SealedAs } from './input.ts';
export { reportInputOf } from './reportInput.ts';
export type { Paper } from './sheet.ts';

const PROGRAM = 'Warmhours';
const ESCAPES =
  'Signs that this typeface does not have stand as their Unicode numbers in square brackets; the enclosed entries have them as written.';

/**
 * The report about some joints, a PDF: a page to be read first, then what stands behind it. The same input gives the same bytes.
 * Tagged, with bookmarks; text in the standard typefaces, so that it can be searched and copied.
 */
export function renderReport(input: ReportInput, paper: Paper): Promise<Uint8Array> {
  const { site, siteName, sealed, joints } = input;
  const clock = new SiteClock(input.timeZone);
  const [only] = joints;
  const subject = joints.length === 1 && only !== undefined ? `joint ${only.view.joint}` : `${joints.length} joints`;
  const about = { title: `Cure record of ${subject}, site ${site}`, program: PROGRAM, madeAt: new Date(sealed.madeAt) };
  const sheet = new Sheet(paper, about);
  const report: Report = { sheet, input, clock };
  const isSingle = joints.length === 1;
  if (!isSingle) overview(report);
  for (const joint of joints) {
    const sump = input.sumps.find((one) => one.sump === joint.view.sump);
    if (sump === undefined) throw new Error(`no sump ${joint.view.sump} in the report`);
    if (!isSingle) sheet.newPage();
    jointPage(report, joint, sump, isSingle);
    jointDetails(report, joint, sump);
  }
  instruments(report);
  waterTestDetails(report);
  entryList(report);
  closing(report);
  const foot = [
    `${siteName ?? site}, ${subject}. Times: ${input.timeZone}, with offset from UTC.`,
    `Made ${clock.at(sealed.madeAt)}. ${sealed.size} leaves, root ${sealed.rootHash.slice(0, 16)} … ${anchoredWords(sealed)}`,
  ] as const;
  return sheet.finish(foot, ESCAPES);
}
