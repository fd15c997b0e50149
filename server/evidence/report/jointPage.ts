import { CREDIT_CEILING_PPM_MS } from '../../../edge/cure/fold.ts';
import { hoursOf, PPM } from '../../../edge/cure/schedule.ts';
import type { SumpView } from '../../../edge/site/views/sump.ts';
import { inOrder, waits } from '../../../web/answer/findings.ts';
import { common } from '../../../web/text/en/common.ts';
import { deciding } from '../../../web/text/en/deciding.ts';
import { joint as words } from '../../../web/text/en/joint.ts';
import { named, type Report, stageName } from './about.ts';
import { chart } from './chart.ts';
import { counted, hoursEarned, hoursMissing, hoursOfMs, limit, temperature } from './figures.ts';
import { decisionOf, titleOfFinding, whenOf } from './findingWords.ts';
import type { HoursSettled, JointInput } from './input.ts';
import { sealBox } from './sealBox.ts';
import { GREY } from './sheet.ts';
import { standingOf } from './standing.ts';
import { type Run, table, tableHeight } from './table.ts';
import { waterTestTable } from './waterTests.ts';

const BOX_WIDTH = 132;
const BETWEEN = 18;
const LABEL_WIDTH = 74;
/** For what stands below the findings: the caution, and how many more there are. */
const CAUTION_HEIGHT = 15;
const MORE_HEIGHT = 15;
/** Older water tests stand further on. */
const TESTS_MOST = 3;

/** What somebody reads first of a joint. `withSeal`: what was signed stands here too. */
export function jointPage(report: Report, joint: JointInput, sump: SumpView, withSeal: boolean): void {
  const { sheet, clock } = report;
  const { view } = joint;
  sheet.heading(1, view.label, `${view.label}, ${sump.label}`);
  sheet.paragraph(`Cure record of a bonded joint. ${common.phase[view.phase]}.`, { size: 9.5, color: GREY });
  sheet.paragraph(standingOf(view, sump, clock), { size: 9.5, bold: true });
  sheet.rule(1);
  sheet.y += 4;
  const top = sheet.y;
  // The box first: facts may be many, and go on on the next page.
  const boxEnd = withSeal ? sealBox(report, sheet.left + sheet.width - BOX_WIDTH, top - 6, BOX_WIDTH) : top;
  sheet.y = top;
  const page = sheet.page;
  facts(report, joint, sump, withSeal ? sheet.width - BOX_WIDTH - BETWEEN : sheet.width);
  sheet.y = (sheet.page === page ? Math.max(sheet.y, boxEnd) : sheet.y) + 4;
  stageTable(report, joint);
  hoursTable(report, joint);
  if (joint.history !== null) chart(sheet, joint, joint.history, clock);
  waterTestTable(report, sump, TESTS_MOST);
  findingTable(report, joint, sump);
  sheet.paragraph(common.caution, { size: 7.5, color: GREY });
}

function facts(
  { sheet, input, clock }: Report,
  { view, definition, lots, people, seals, preps }: JointInput,
  sump: SumpView,
  width: number,
): void {
  const { scheduleDetail: schedule } = view;
  const prep = preps.at(-1);
  const seal = seals.at(-1);
  const reference = limit(schedule.referenceCelsius);
  const humidity =
    schedule.referenceHumidityPercent === null ? '' : ` and ${schedule.referenceHumidityPercent} % relative humidity`;
  const material = lots.map(({ lot, label, material: what, hasSheet }) =>
    label === null ? `${lot}, not on the list of lots` : `${lot}, ${what} (${label}${hasSheet ? ', with its own sheet' : ''})`,
  );
  const rows: readonly (readonly [string, string])[] = [
    ['Serial', sump.serial ?? 'none given'],
    ['Site', named(input.siteName, input.site)],
    [
      'Joint',
      `${named(view.label, view.joint)} in ${named(sump.label, sump.sump)}${view.attempt > 1 ? `, attempt ${view.attempt}` : ''}`,
    ],
    ['Schedule', `${named(schedule.title, view.schedule)}, version ${schedule.version}, by ${definition.author}`],
    ['Reference', `${reference}${humidity}; nothing counts below ${limit(schedule.floorCelsius)}`],
    ['Source', schedule.source],
    ['Laid up', view.laidUpAt === null ? 'not yet' : `${clock.at(view.laidUpAt)} by ${view.laidUpBy ?? 'nobody on record'}`],
    [
      'Surface',
      prep === undefined ? 'not signed for' : `sanded, wiped and dry, signed ${clock.at(prep.atMs)} by ${prep.by.name}`,
    ],
    ['Lots', material.length === 0 ? 'none on record' : material.join('; ')],
    ['People', people.map(({ name, roles }) => `${name} (${roles.join(', ')})`).join(', ') || 'nobody yet'],
    [
      'Sealed',
      seal === undefined
        ? 'not yet'
        : `${clock.at(seal.atMs)}, entry ${seal.seq}${seals.length > 1 ? `; ${seals.length - 1} before` : ''}`,
    ],
  ];
  for (const [label, value] of rows)
    sheet.tag('P', () => {
      const y = sheet.y;
      sheet.line(label, sheet.left, y, { color: GREY });
      sheet.write(value, {}, sheet.left + LABEL_WIDTH, width - LABEL_WIDTH);
      sheet.y += 0.5;
    });
}

function stageTable({ sheet, clock }: Report, { view, provenCelsius }: JointInput): void {
  const rows = view.stages.map(({ stage, requiredHours, reachedAt, clearAt, provenBy, remainingHours, blockedBy }) => {
    const value = provenCelsius[stage];
    const proof: Run[] =
      provenBy === null
        ? [{ text: '–' }]
        : [{ text: `probe ${provenBy.probe}${value == null ? '' : `, ${temperature(value)}`}` }, { text: clock.at(provenBy.at) }];
    const standing: Run[] =
      reachedAt === null
        ? [{ text: `${hoursMissing(remainingHours)} missing` }]
        : clearAt === null
          ? [{ text: 'blocked by', bold: true }, { text: titlesOf(view.findings, blockedBy) }]
          : [{ text: 'clear since' }, { text: clock.notBefore(clearAt) }];
    return [
      [
        { text: stageName(stage), bold: true },
        { text: `needs ${Math.round(requiredHours * 100) / 100} warm hours`, size: 7 },
      ],
      [{ text: reachedAt === null ? 'not reached' : clock.notBefore(reachedAt), bold: true }],
      proof,
      standing,
    ];
  });
  const columns = [
    { head: 'Stage', share: 24 },
    { head: 'Reached', share: 24 },
    { head: 'Proven by the reading of', share: 28 },
    { head: 'Standing', share: 24 },
  ];
  table(sheet, columns, rows);
}

function titlesOf(findings: JointInput['view']['findings'], ids: readonly string[]): string {
  return findings
    .filter(({ id }) => ids.includes(id))
    .map(titleOfFinding)
    .join(', ');
}

function hoursTable({ sheet, clock }: Report, { view, hours }: JointInput): void {
  if (hours === null) return;
  const full = hours.creditPpmMs >= CREDIT_CEILING_PPM_MS;
  const columns = [words.warm, words.reduced, words.cold, words.unproven, words.clock].map((head) => ({ head, share: 1 }));
  const { creditPpmMs, coldMs, unprovenMs, settledMs, provisionalPpmMs } = hours;
  table(sheet, columns, [
    [
      [{ text: `${hoursEarned(hoursOf(creditPpmMs))}${full ? ' or more' : ''}`, bold: true }],
      full ? 'not counted any more' : hoursOfMs(reducedMs(hours)),
      hoursOfMs(coldMs),
      hoursOfMs(unprovenMs),
      hoursOfMs(settledMs),
    ],
  ]);
  const provisional =
    provisionalPpmMs === 0 ? '' : ` Of the warm hours ${hoursEarned(hoursOf(provisionalPpmMs))} rest on air readings only.`;
  sheet.y -= 2;
  sheet.paragraph(
    view.provenUntil === null
      ? 'No reading has proven anything yet.'
      : `Counted up to ${clock.at(view.provenUntil)}; the first four make up the fifth.${provisional}`,
    { size: 7, color: GREY },
  );
}

/** Settled time that was proven above the floor and yet not credited in full. */
function reducedMs({ settledMs, coldMs, unprovenMs, creditPpmMs }: HoursSettled): number {
  return settledMs - coldMs - unprovenMs - creditPpmMs / PPM;
}

function findingTable({ sheet, clock }: Report, { view }: JointInput, sump: SumpView): void {
  const all = inOrder([...view.findings, ...sump.findings]);
  if (all.length === 0) {
    sheet.paragraph(`Findings: ${deciding.none.toLowerCase()}`);
    return;
  }
  const rows = all.map((finding): (readonly Run[])[] => [
    [
      { text: `${titleOfFinding(finding)}${finding.joint === null ? ' (on the sump)' : ''}`, bold: true },
      { text: `${deciding.severity[finding.severity]}; ${whenOf(finding, clock)}`, size: 7 },
    ],
    decisionOf(finding, clock, true),
  ]);
  const columns = [
    { head: 'Finding', share: 45 },
    { head: 'Decision', share: 55 },
  ];
  // As many as there is room for: this is to be one page.
  const room = sheet.bottom - sheet.y - CAUTION_HEIGHT;
  const fits = (count: number) =>
    tableHeight(sheet, columns, rows.slice(0, count)) <= (count < rows.length ? room - MORE_HEIGHT : room);
  let shown = rows.length;
  while (shown > 0 && !fits(shown)) shown--;
  if (shown > 0) table(sheet, columns, rows.slice(0, shown));
  const rest = all.slice(shown);
  if (rest.length === 0) return;
  const open = rest.filter(waits).length;
  const listed = `${counted(rest.length, shown > 0 ? 'more finding' : 'finding')}, ${open === 0 ? 'none' : open} of them undecided`;
  sheet.paragraph(`${listed}: all stand under “Findings in full”.`, { bold: true });
}
