import { expect, test } from 'vitest';
import { isText } from '../../web/pages/weather/isText.ts';

const bytes = (text: string) => new TextEncoder().encode(text).buffer as ArrayBuffer;

test('a forecast is text: lines, tabs, letters of any script', () => {
  expect(isText(bytes('time,celsius\r\n2026-01-15T06:00Z\t−2,5 °C\n'))).toBe(true);
  expect(isText(bytes(''))).toBe(true);
});

test('a picture, a spreadsheet or text of two bytes a letter is none', () => {
  expect(isText(Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a).buffer)).toBe(false);
  expect(isText(bytes('PK\u0003\u0004'))).toBe(false);
  expect(isText(Uint8Array.of(0xff, 0xfe, 0x74, 0x00).buffer)).toBe(false);
});
