import { common } from '../../../web/text/en/common.ts';
import { anchoredWords, type Report } from './about.ts';
import { checkpointCode } from './sealBox.ts';

/** What the record is worth, said plainly. */
export function closing({ sheet, input }: Report): void {
  const { sealed } = input;
  sheet.heading(1, 'What this proves, and what not');
  for (const sentence of [
    'It proves, with the packet that it came in: that nothing in the packet was altered since the site signed its checkpoint; that nothing that bore on a joint when it was last sealed was left out; and that the warm hours and the times of the stages follow from the readings by the enclosed rules.',
    'It does not prove that a probe sat where it should, that a reading was honest, or that people told the truth. It does not prove what nobody put on record.',
    `${anchoredWords(sealed)}${sealed.anchored ? '' : ' Whoever holds the site’s key could have made another record before.'}`,
    'A page on paper proves nothing by itself. Check the packet with the page verify.html that you got from somebody you trust, with the program’s own command, or by hand as READ-ME-FIRST.txt says; then compare root, size and fingerprint with those on the first page, and the fingerprint with one that you got another way.',
    common.caution,
    'Times are those of the site’s clock, each with its offset from UTC. Temperatures are as the probes measured them, calibrated; what a schedule judges is lower by the uncertainty. Warm hours are rounded down.',
    `Code on the first page: ${checkpointCode(input)}`,
  ])
    sheet.paragraph(sentence);
}
