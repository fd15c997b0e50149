import type { SumpView } from '../../../edge/site/views/sump.ts';
import { inOrder } from '../../../web/answer/findings.ts';
import { common } from '../../../web/text/en/common.ts';
import { deciding } from '../../../web/text/en/deciding.ts';
import { joint as words } from '../../../web/text/en/joint.ts';
import { type Report, stageName } from './about.ts';
import { amount, hoursOfMs, type SiteClock, temperature } from './figures.ts';
import { decisionOf, earlierDecisions, saidOf, titleOfFinding, whenOf } from './findingWords.ts';
import type { JointInput } from './input.ts';
import { scheduleWords } from './scheduleWords.ts';
import type { Sheet } from './sheet.ts';
import { type Run, table } from './table.ts';

/** What stands behind the page of a joint. */
export function jointDetails(report: Report, joint: JointInput, sump: SumpView): void {
  const { sheet, clock } = report;
  work(sheet, joint, clock);
  findings(sheet, joint, sump, clock);
  spans(sheet, joint, clock);
  sheet.heading(2, words.scheduleTitle);
  for (const sentence of scheduleWords(joint)) sheet.paragraph(sentence);
}

/** Surfaces, mixes and proofs of the present attempt, and the stages that count from the mix. */
function work(sheet: Sheet, { view, preps, mixes, proofs }: JointInput, clock: SiteClock): void {
  const celsius = (label: string, milliC: number | null) => (milliC === null ? [] : [`${label} ${temperature(milliC / 1000)}`]);
  const rows: { readonly atMs: number; readonly cells: readonly string[] }[] = [
    ...preps.map(({ atMs, seq, by, surfaceMilliC, airMilliC, humidityMilliPercent }) => ({
      atMs,
      cells: [
        words.event.prep ?? '',
        [
          'sanded, wiped, dry',
          ...celsius('surface', surfaceMilliC),
          ...celsius('air', airMilliC),
          ...(humidityMilliPercent === null ? [] : [`humidity ${humidityMilliPercent / 1000} %`]),
        ].join('; '),
        by.name,
        String(seq),
      ],
    })),
    ...mixes.map(({ atMs, seq, by, resin, catalystMillilitres, resinCelsius, airCelsius, resinLot, catalystLot }) => ({
      atMs,
      cells: [
        words.event.mix ?? '',
        [
          ...(resin === null ? ['a measured kit'] : [`${amount(resin)} of resin`]),
          ...(catalystMillilitres === null ? [] : [`${catalystMillilitres} mL of catalyst`]),
          `material ${temperature(resinCelsius)}`,
          ...(airCelsius === null ? [] : [`air ${temperature(airCelsius)}`]),
          ...(resinLot === null ? [] : [`lot ${resinLot}`]),
          ...(catalystLot === null ? [] : [`catalyst lot ${catalystLot}`]),
        ].join('; '),
        by.name,
        String(seq),
      ],
    })),
    ...proofs.map(({ atMs, seq, by, hardness, surface }) => ({
      atMs,
      cells: [
        words.event.proof ?? '',
        [
          `verdict: ${VERDICT[view.proofs.find((proof) => proof.seq === seq)?.verdict ?? 'incomplete']}`,
          ...(hardness === null ? [] : [`hardness ${hardness.readings.join(' ')}; maker’s minimum ${hardness.makerMinimum}`]),
          ...(surface === null ? [] : [`surface ${surface}`]),
        ].join('; '),
        by.name,
        String(seq),
      ],
    })),
    ...(view.fromMix?.stages ?? []).flatMap(({ stage, requiredHours, reachedAt, provenBy }) =>
      reachedAt === null
        ? []
        : [
            {
              atMs: Date.parse(reachedAt),
              cells: [
                stageName(stage),
                `${Math.round(requiredHours * 600) / 10} warm minutes from the mix${provenBy === null ? '' : `; proven by probe ${provenBy.probe}, ${clock.at(provenBy.at)}`}`,
                'the readings',
                '–',
              ],
            },
          ],
    ),
  ];
  if (rows.length === 0) return;
  sheet.heading(2, 'Work on this attempt');
  table(
    sheet,
    [
      { head: 'When', share: 24 },
      { head: 'What', share: 13 },
      { head: 'How', share: 38 },
      { head: 'By', share: 17 },
      { head: 'Entry', share: 8, align: 'right' },
    ],
    rows.sort((a, b) => a.atMs - b.atMs).map(({ atMs, cells }) => [clock.at(atMs), ...cells]),
  );
}

const VERDICT = { pass: 'passed', fail: 'not passed', incomplete: 'incomplete, needs hardness and surface both' } as const;

function findings(sheet: Sheet, { view }: JointInput, sump: SumpView, clock: SiteClock): void {
  const all = inOrder([...view.findings, ...sump.findings]);
  sheet.heading(2, 'Findings in full');
  if (all.length === 0) {
    sheet.paragraph(deciding.none);
    return;
  }
  const rows = all.map((finding): (readonly Run[])[] => {
    const { severity, probes, blocks } = finding;
    const earlier = earlierDecisions(finding, clock);
    return [
      [
        { text: titleOfFinding(finding), bold: true },
        { text: `${deciding.severity[severity]}: ${deciding.means[severity]}.` },
        { text: whenOf(finding, clock) },
        ...(probes.length === 0 ? [] : [{ text: deciding.probes(common.listAnd(probes)) }]),
        { text: saidOf(finding, sump) },
        ...(blocks.length === 0 ? [] : [{ text: deciding.blocks(common.listAnd(blocks.map(stageName))) }]),
      ],
      [
        ...decisionOf(finding, clock, false),
        ...(earlier.length === 0 ? [] : [{ text: 'Other decisions on it:', bold: true }, ...earlier]),
      ],
    ];
  });
  table(
    sheet,
    [
      { head: 'What was found', share: 55 },
      { head: 'What was decided', share: 45 },
    ],
    rows,
  );
}

function spans(sheet: Sheet, { uncredited, view }: JointInput, clock: SiteClock): void {
  if (view.laidUpAt === null) return;
  sheet.heading(2, words.tableSpans);
  if (uncredited.length === 0) {
    sheet.paragraph('None: every hour since lay-up was proven and above the floor.');
    return;
  }
  const columns = [
    { head: words.tableFrom, share: 26 },
    { head: words.tableTo, share: 26 },
    { head: 'How long', share: 14, align: 'right' as const },
    { head: words.tableReason, share: 34 },
  ];
  const rows = uncredited.map(({ from, to, reason }) => [
    clock.at(from),
    clock.at(to),
    hoursOfMs(to - from),
    reason === 'cold' ? words.spanCold : words.spanUnproven,
  ]);
  table(sheet, columns, rows);
}
