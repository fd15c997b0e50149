import { describe, expect, test } from 'vitest';
import { hoursEarned, hoursMissing, length, limit, SiteClock, span, temperature } from '../../server/evidence/report/figures.ts';
import { checkpointCode } from '../../server/evidence/report/sealBox.ts';
import { roundStep, timeTicks } from '../../server/evidence/report/timeTicks.ts';
import { winAnsi } from '../../server/evidence/report/winAnsi.ts';

describe('text that the typeface can write', () => {
  test.each([
    ['Zoë Müller – “5 €”', 'Zoë Müller – “5 €”'],
    ['Zoe\u0308', 'Zoë'],
    ['one\n\n two\r\nthree\tfour', 'one / two / three four'],
    ['−5\u202f°C', '-5 °C'],
  ])('%j stays text', (text, written) => expect(winAnsi(text)).toEqual({ text: written, isWhole: true }));

  test.each([
    ['Жук', '[U+0416 U+0443 U+043A]'],
    ['李 and Żak', '[U+674E] and [U+017B]ak'],
    ['fine 👍', 'fine [U+1F44D]'],
    ['right-to-left \u202e mark', 'right-to-left [U+202E] mark'],
    ['soft\u00adhyphen and bell\u0007', 'soft[U+00AD]hyphen and bell[U+0007]'],
    ['e\u0332', 'e[U+0332]'],
  ])('%j stands with its numbers', (text, written) => expect(winAnsi(text)).toEqual({ text: written, isWhole: false }));

  test('whatever is left has one byte in WinAnsiEncoding, which is Windows-1252 without its holes', () => {
    const bytes = [...Array(0x20).fill(0x3f), ...Array.from({ length: 0xe0 }, (_, index) => index + 0x20)] as number[];
    const known = new Set(new TextDecoder('windows-1252').decode(Uint8Array.from(bytes)));
    const written = new Set<string>();
    for (let code = 1; code < 0x3000; code++)
      if (code < 0xd800 || code > 0xdfff)
        for (const character of winAnsi(String.fromCodePoint(code)).text) written.add(character);
    expect(written.size).toBeGreaterThan(200);
    expect([...written].filter((character) => !known.has(character))).toEqual([]);
  });
});

describe('figures', () => {
  test('temperatures in both units', () => {
    expect([12.34, -0.02, -17.78].map(temperature)).toEqual(['12.3 °C (54.2 °F)', '0.0 °C (32.0 °F)', '-17.8 °C (0.0 °F)']);
    expect([15.6, 10, 5.5].map(limit)).toEqual(['15.6 °C (60 °F)', '10 °C (50 °F)', '5.5 °C (41.9 °F)']);
  });

  test('hours earned are rounded down, hours missing up', () => {
    expect([11.999, 12, 0.0049].map(hoursEarned)).toEqual(['11.99 h', '12.00 h', '0.00 h']);
    expect([0.001, 5.42, 0].map(hoursMissing)).toEqual(['0.01 h', '5.42 h', '0.00 h']);
  });

  test('lengths and spans', () => {
    expect(length(3.175)).toBe('3.175 mm (0.125 in)');
    expect([42_000, 720_000, 3 * 3_600_000 + 300_000].map(span)).toEqual(['42 s', '12 min', '3 h 05 min']);
  });
});

describe('the site’s clock', () => {
  const chicago = new SiteClock('America/Chicago');

  test('names the offset, also in the hour that comes twice', () => {
    expect(chicago.at('2026-11-01T06:30:00.900Z')).toBe('2026-11-01 01:30:00 -05:00');
    expect(chicago.at('2026-11-01T07:30:00.000Z')).toBe('2026-11-01 01:30:00 -06:00');
    expect(new SiteClock('Asia/Kathmandu').at('2026-01-15T00:00:00Z')).toBe('2026-01-15 05:45:00 +05:45');
  });

  test('what was reached is never shown before it was', () => {
    expect(chicago.notBefore('2026-01-15T12:00:00.001Z')).toBe('2026-01-15 06:00:01 -06:00');
    expect(chicago.notBefore('2026-01-15T12:00:00.000Z')).toBe('2026-01-15 06:00:00 -06:00');
  });

  test('its round hours: twice the hour that comes twice, never the one that is left out', () => {
    const words = (from: string, to: string, most: number) =>
      timeTicks(chicago, Date.parse(from), Date.parse(to), most).map(({ time, below }) =>
        below === '' ? time : `${time} ${below}`,
      );
    expect(words('2026-11-01T05:30:00Z', '2026-11-01T08:30:00Z', 9)).toEqual([
      '01:00 2026-11-01 -05:00',
      '01:00 -06:00',
      '02:00 -06:00',
    ]);
    expect(words('2026-03-08T06:30:00Z', '2026-03-08T09:30:00Z', 9)).toEqual([
      '01:00 2026-03-08 -06:00',
      '03:00 -05:00',
      '04:00 -05:00',
    ]);
    expect(words('2026-01-15T12:00:00Z', '2026-01-16T20:00:00Z', 6)).toEqual([
      '06:00 2026-01-15 -06:00',
      '12:00',
      '18:00',
      '00:00 2026-01-16 -06:00',
      '06:00',
      '12:00',
    ]);
  });

  test.each([
    [7, 6, 2],
    [30, 6, 5],
    [0.9, 6, 0.2],
    [100, 10, 10],
  ])('a span of %d in at most %d steps takes steps of %d', (whole, most, step) =>
    expect(roundStep(whole, most)).toBeCloseTo(step, 12),
  );
});

test('the code names site, size, root and key', () => {
  const sealed = {
    size: 94,
    rootHash: 'a'.repeat(64),
    fingerprint: 'bbbb cccc',
    keyName: 'warmhours/yard',
    madeAt: '2026-01-15T00:00:00.000Z',
    anchored: false,
  };
  expect(checkpointCode({ site: 'yard', sealed })).toBe(`warmhours-checkpoint:v1:yard:94:${'a'.repeat(64)}:bbbbcccc`);
});
