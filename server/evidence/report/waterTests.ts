import type { SumpView } from '../../../edge/site/views/sump.ts';
import type { WaterTestView } from '../../../edge/site/views/waterTest.ts';
import { waterTest as words } from '../../../web/text/en/waterTest.ts';
import type { Report } from './about.ts';
import { entryWords } from './entryWords.ts';
import { counted, length } from './figures.ts';
import { type Run, table } from './table.ts';

/** A change of the level that no stick shows. */
const UNSEEN_MM = 0.05;

type Judged = NonNullable<WaterTestView['byHand']>;

/** The newest `most` water tests of a sump in a line or two each, the newest first. */
export function waterTestTable({ sheet, clock }: Report, { tests }: SumpView, most = Number.POSITIVE_INFINITY): void {
  if (tests.length === 0) {
    sheet.paragraph('Water test: none on record.');
    return;
  }
  const rows = tests
    .map((test, index) => [
      [{ text: `${words.test(index + 1)} of ${tests.length}: ${words.verdict[test.verdict].toLowerCase()}`, bold: true }],
      [{ text: `from ${clock.at(test.startedAt)}` }, { text: `to ${clock.at(test.endedAt)}` }],
      readBy(test),
      [{ text: test.by }, { text: clock.at(test.recordedAt) }],
    ])
    .reverse()
    .slice(0, most);
  table(
    sheet,
    [
      { head: 'Water test', share: 22 },
      { head: 'Held', share: 25 },
      { head: 'Change of level (less than 1/8 in passes)', share: 29 },
      { head: 'Put on record', share: 24 },
    ],
    rows,
  );
  if (tests.length > most) sheet.paragraph(`${counted(tests.length - most, 'older test')}, listed under “Water tests”.`);
}

function readBy({ byHand, byProbe }: WaterTestView): Run[] {
  return [
    ...(byHand === null ? [] : [{ text: `By hand: ${changed(byHand)}` }]),
    ...(byProbe === null ? [] : [{ text: `By probe: ${changed(byProbe)}` }]),
  ];
}

function changed({ changeMm }: Judged): string {
  const by = length(Math.abs(changeMm));
  return changeMm === 0 ? 'no change' : `${changeMm < 0 ? 'fell' : 'rose'} by ${by}`;
}

/** What stands behind each verdict, for every sump. */
export function waterTestDetails(report: Report): void {
  const { sheet, input, clock } = report;
  for (const sump of input.sumps) {
    if (sump.tests.length === 0) continue;
    sheet.heading(2, `Water tests of ${sump.label}`);
    const rows = sump.tests.map((test, index): (readonly Run[])[] => {
      const entry = input.entries.find(({ seq }) => seq === test.seq)?.entry;
      const again = sump.tests.findIndex(({ seq }) => seq === test.retestOf);
      return [
        [
          { text: `${words.test(index + 1)}: ${words.verdict[test.verdict].toLowerCase()}`, bold: true },
          ...(again < 0 ? [] : [{ text: words.retestOf(again + 1) }]),
          { text: `Entry ${test.seq}` },
        ],
        [{ text: entry === undefined ? '' : entryWords(entry, clock).said }],
        [
          ...(test.byHand === null ? [] : judged(words.byHand, test.byHand)),
          ...(test.byProbe === null
            ? []
            : [
                ...judged(words.byProbe(test.byProbe.probe), test.byProbe),
                {
                  text: `${counted(test.byProbe.readings, 'reading')}, longest gap ${Math.round(test.byProbe.longestGapMinutes * 10) / 10} min.${test.byProbe.excursion ? ` ${words.excursion}` : ''}`,
                },
              ]),
          ...(test.method === 'low-level' ? [{ text: words.lowLevel }] : []),
        ],
      ];
    });
    table(
      sheet,
      [
        { head: 'Test', share: 18 },
        { head: 'As recorded', share: 41 },
        { head: 'As judged', share: 41 },
      ],
      rows,
    );
    sheet.paragraph(`${words.limit} Verdicts follow PEI/RP1200, sections 6.5.6 and 6.5.7; the authority’s own rules win.`, {
      size: 7.5,
    });
  }
}

function judged(title: string, result: Judged): Run[] {
  const { verdict, faults, uncertaintyMm, nearLimit, temperatureMm, temperatureMatters } = result;
  const byWater =
    temperatureMm === null
      ? words.temperatureUnknown
      : Math.abs(temperatureMm) < UNSEEN_MM
        ? words.temperatureNone
        : words.temperature[temperatureMm < 0 ? 'fell' : 'rose'](length(Math.abs(temperatureMm)));
  const sentences = [
    `${title}: ${words.verdict[verdict].toLowerCase()}, ${changed(result)}.`,
    ...faults.map((fault) => words.faults[fault]),
    words.uncertainty(length(uncertaintyMm.worstCase)),
    ...(nearLimit ? [words.nearLimit] : []),
    byWater,
    ...(temperatureMatters ? [words.temperatureMatters] : []),
  ];
  return [{ text: sentences.join(' ') }];
}
