import type { FindingView } from '../../../edge/site/views/finding.ts';
import { waits } from '../../../web/answer/findings.ts';
import { common } from '../../../web/text/en/common.ts';
import { named, type Report, stageName } from './about.ts';
import { sealBox } from './sealBox.ts';
import { GREY } from './sheet.ts';
import { type Cell, table } from './table.ts';
import { waterTestTable } from './waterTests.ts';

const BOX_WIDTH = 132;
const BETWEEN = 18;

/** What somebody reads first of several joints: each in a line, and what was signed. */
export function overview(report: Report): void {
  const { sheet, input, clock } = report;
  sheet.heading(1, `Cure record of ${input.joints.length} joints`, 'Overview');
  const top = sheet.y + 4;
  const width = sheet.width - BOX_WIDTH - BETWEEN;
  sheet.y = top;
  const facts = [
    `Site: ${named(input.siteName, input.site)}`,
    ...input.sumps.map((sump) => `Sump: ${named(sump.label, sump.sump)}, serial ${sump.serial ?? 'none given'}`),
  ];
  for (const fact of facts) sheet.tag('P', () => sheet.write(fact, { size: 9.5 }, sheet.left, width));
  sheet.y = Math.max(sheet.y, sealBox(report, sheet.left + sheet.width - BOX_WIDTH, top, BOX_WIDTH)) + 6;
  const rows = input.joints.map(({ view }): Cell[] => {
    return [
      [{ text: view.label, bold: true }, { text: `${view.joint} in ${view.sump}` }],
      [{ text: view.scheduleDetail.title }, { text: common.phase[view.phase], bold: true }],
      [{ text: view.laidUpAt === null ? 'not yet' : clock.at(view.laidUpAt), size: 7.5 }],
      view.stages.map(({ stage, reachedAt, blockedBy }) => ({
        text: `${stageName(stage)}: ${reachedAt === null ? 'not reached' : `${clock.notBefore(reachedAt)}${blockedBy.length === 0 ? '' : ', blocked'}`}`,
        size: 7.5,
      })),
      foundOn(view.findings),
    ];
  });
  table(
    sheet,
    [
      { head: 'Joint', share: 18 },
      { head: 'Schedule, phase', share: 17 },
      { head: 'Laid up', share: 22 },
      { head: 'Stages reached', share: 32 },
      { head: 'Findings', share: 11 },
    ],
    rows,
  );
  for (const sump of input.sumps) {
    if (input.sumps.length > 1) sheet.heading(2, sump.label);
    waterTestTable(report, sump);
    sheet.paragraph(`Findings on the sump as a whole: ${foundOn(sump.findings)}.`);
  }
  sheet.paragraph(common.caution, { size: 7.5, color: GREY });
}

function foundOn(findings: readonly FindingView[]): string {
  if (findings.length === 0) return 'none';
  const open = findings.filter(waits).length;
  return `${findings.length}, ${open === 0 ? 'none undecided' : `${open} undecided`}`;
}
