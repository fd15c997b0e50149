import { describe, expect, test } from 'vitest';
import { judged } from './runCure.ts';

describe('the file', () => {
  const rows = [
    ['2026-01-15T06:00:00-06:00', '12', '60'],
    ['2026-01-15T06:10:00-06:00', '8.25', ''],
    ['2026-01-15T06:20:00-06:00', '+1.2e1', '70'],
  ];
  const plain = `time,celsius,humidity\n${rows.map((row) => row.join(',')).join('\n')}\n`;

  test.each<[string, string]>([
    ['semicolons', plain.replaceAll(',', ';')],
    ['tabs', plain.replaceAll(',', '\t')],
    ['a byte order mark', `\ufeff${plain}`],
    ['a byte order mark before a quote', `\ufeff${plain.replaceAll(/[^,\n]+/g, '"$&"')}`],
    ['a byte order mark and semicolons', `\ufeff${plain.replaceAll(',', ';')}`],
    ['lines that end as on Windows', plain.replaceAll('\n', '\r\n')],
    ['blank lines, also before the header', `\n\n${plain.replaceAll('\n', '\n\n')}`],
    ['lines of blanks', plain.replaceAll('\n', '\n   \n')],
    ['quotes', plain.replaceAll(/[^,\n]+/g, '"$&"')],
    ['blanks around the fields', plain.replaceAll(',', ' , ')],
    ['capitals and another order', `Humidity,CELSIUS,Time\n${rows.map((row) => row.toReversed().join(',')).join('\n')}`],
    ['a blank instead of the T', plain.replaceAll('15T', '15 ')],
    ['times without seconds', plain.replaceAll(':00-06:00', '-06:00')],
    [
      'rows out of order',
      `time,celsius,humidity\n${rows
        .toReversed()
        .map((row) => row.join(','))
        .join('\n')}`,
    ],
    ['a reading twice', `${plain}2026-01-15T12:10:00Z,8.25,99\n`],
    ['no humidity', `time,celsius\n${rows.map((row) => row.slice(0, 2).join(',')).join('\n')}`],
  ])('with %s means the same', async (_what, content) => {
    expect(await judged(content)).toEqual(await judged(plain));
    expect((await judged(content)).warmHours).toBeGreaterThan(0.2);
  });

  test('fahrenheit: 50 °F is the reference, exactly; 49.9 °F is colder', async () => {
    const at = (fahrenheit: string) =>
      `time,fahrenheit\n2026-01-15T06:00:00Z,${fahrenheit}\n2026-01-15T06:15:00Z,${fahrenheit}\n`;
    expect((await judged(at('50'), '--guard-celsius', '0')).warmHours).toBe(0.25);
    const colder = (await judged(at('49.9'), '--guard-celsius', '0')).warmHours;
    // 49.9 °F is 9.944 °C: 0.9950 by the law [C].
    expect(colder / 0.25).toBeCloseTo(0.995, 3);
    // 41 °F is the floor, 5 °C, exactly.
    expect((await judged(at('41'), '--guard-celsius', '0')).coldHours).toBe(0);
    expect((await judged(at('40.99'), '--guard-celsius', '0')).coldHours).toBe(0.25);
  });

  test('the hour that stands twice at the end of summer time is two hours, by the offsets', async () => {
    const clock = ['00:30', '00:45', '01:00', '01:15', '01:30', '01:45'].map((time) => `2026-11-01T${time}:00-05:00`);
    const again = ['01:00', '01:15', '01:30', '01:45', '02:00'].map((time) => `2026-11-01T${time}:00-06:00`);
    const report = await judged(`time,celsius\n${[...clock, ...again].map((time) => `${time},20`).join('\n')}`);
    expect(report).toMatchObject({
      clockHours: 2.5,
      warmHours: 2.5,
      from: '2026-11-01T05:30:00.000Z',
      to: '2026-11-01T08:00:00.000Z',
    });
  });

  test('the hour that is left out at the start of summer time is no gap', async () => {
    const clock = ['2026-03-08T01:45:00-06:00', '2026-03-08T03:00:00-05:00', '2026-03-08T03:15:00-05:00'];
    expect(await judged(`time,celsius\n${clock.map((time) => `${time},20`).join('\n')}`)).toMatchObject({
      warmHours: 0.5,
      gapHours: 0,
    });
  });

  test('a file longer than one piece of a stream is read whole', async () => {
    const minutes = 20_000;
    const rows = Array.from({ length: minutes + 1 }, (_, minute) => `${new Date(minute * 60_000).toISOString()},20.0`);
    const report = await judged(`time,celsius\n${rows.join('\n')}\n`);
    expect(report).toMatchObject({ warmHours: Math.floor((minutes / 60) * 1e6) / 1e6, gapHours: 0, rejected: [] });
  });
});

describe('rows that do not count', () => {
  const rejectedOf = async (...rows: string[]) =>
    (await judged(['time,celsius', '2026-01-15T06:00:00Z,20', ...rows, '2026-01-15T06:30:00Z,20'].join('\n'))).rejected;

  test.each<[string, RegExp]>([
    ['2026-01-15T06:10:00,20', /^time "2026-01-15T06:10:00" has no offset; write it as in/],
    ['2026-01-15 06:10,20', /has no offset/],
    ['15.01.2026 06:10,20', /is not ISO 8601/],
    ['2026-02-30T06:10:00Z,20', /is not ISO 8601/],
    [',20', /^time "" is not ISO 8601/],
    ['2026-01-15T06:10:00Z,', /^celsius "" is not a number$/],
    ['2026-01-15T06:10:00Z,nan', /^celsius "nan" is not a number$/],
    ['2026-01-15T06:10:00Z,null', /^celsius "null" is not a number$/],
    ['2026-01-15T06:10:00Z,0x14', /^celsius "0x14" is not a number$/],
    ['2026-01-15T06:10:00Z,Infinity', /^celsius "Infinity" is not a number$/],
    ['2026-01-15T06:10:00Z,"20,5"', /^celsius "20,5" is not a number$/],
    ['2026-01-15T06:10:00Z,20,5', /^fields: 3, where the first line has 2$/],
    ['2026-01-15T06:10', /^fields: 1, where the first line has 2$/],
    ['2026-01-15T06:10:00Z,-127', /missing sensor/],
    ['2026-01-15T06:10:00Z,150.001', /^celsius 150\.001 lies outside −60 … 150 °C$/],
    ['2026-01-15T06:10:00Z,-60.001', /lies outside/],
    ['2026-01-15T06:10:00Z,1e999', /lies outside/],
    ['2026-01-15T06:10:00Z,85', /power-on/],
    ['2026-01-15T06:30:00Z,85', /power-on/],
  ])('%s', async (row, reason) => {
    const rejected = await rejectedOf(row);
    expect(rejected[0]).toEqual({ line: 3, reason: expect.stringMatching(reason) });
  });

  test.each([
    '2026-01-15T06:10:00Z,150',
    '2026-01-15T06:10:00Z,-60',
    '2026-01-15T06:10:00Z,.5',
    '2026-01-15T06:10:00.123456+05:30,-0',
  ])('%s does count', async (row) => {
    expect(await rejectedOf(row)).toEqual([]);
  });

  test('an 85.0 among hot neighbours is a temperature; alone, also several in a row, it is a fault', async () => {
    const hot = ['60', '84', '85', '86', '20'].map((celsius, index) => `2026-01-15T06:0${index + 1}:00Z,${celsius}`);
    expect(await rejectedOf(...hot)).toEqual([]);
    const run = ['85', '85.0', '85.000'].map((celsius, index) => `2026-01-15T06:0${index + 1}:00Z,${celsius}`);
    expect((await rejectedOf(...run)).map(({ line }) => line)).toEqual([3, 4, 5]);
    expect(await rejectedOf('2026-01-15T06:10:00Z,84.9')).toEqual([]);
    const nothingElse = await judged('time,celsius\n2026-01-15T06:00:00Z,85\n2026-01-15T06:10:00Z,85\n');
    expect(nothingElse).toMatchObject({ rejected: [], clockHours: 0.166667 });
  });

  test('of two readings of one instant that differ, the first stays and the second is named', async () => {
    const report = await judged('time,celsius\n2026-01-15T06:00:00Z,20\n2026-01-15T06:10:00Z,20\n2026-01-15T07:10:00+01:00,4\n');
    expect(report.rejected).toEqual([{ line: 4, reason: 'contradicts line 3, which has the same time and another temperature' }]);
    expect(report).toMatchObject({ warmHours: 0.166666, coldHours: 0 });
  });

  test('lines are those of the file, blank ones counted, in order, whatever was found first', async () => {
    const report = await judged(
      'time,celsius\r\n\r\n2026-01-15T06:00:00Z,20\r\nx,1\r\n\r\n2026-01-15T06:00:00Z,85\r\n2026-01-15T06:10:00Z,y\r\n2026-01-15T06:15:00Z,20',
    );
    expect(report.rejected.map(({ line }) => line)).toEqual([4, 6, 7]);
  });

  test('a reading that was refused leaves a gap; nothing is drawn across it', async () => {
    const report = await judged('time,celsius\n2026-01-15T06:00:00Z,20\n2026-01-15T06:10:00Z,-127\n2026-01-15T06:20:00Z,20\n');
    expect(report).toMatchObject({ warmHours: 0, gapHours: 0.333333 });
  });
});
