import fc from 'fast-check';
import { expect, test } from 'vitest';
import { applyMapping } from '../../edge/intake/mapping.ts';
import { Mapping } from '../../edge/site/mapping.ts';
import { asQuantity, guessOf, mappingSaid, timeOf, UNITS } from '../../web/pages/setup/deviceDraft.ts';
import { placesIn } from '../../web/pages/setup/pointers.ts';
import { unreadTopics } from '../../web/pages/setup/topics.ts';

test('numbers and texts are found under the pointers of RFC 6901', () => {
  expect(placesIn('{"a/b":{"m~n":[1,{"t":"21.5"},true,null]}}')).toEqual([
    { pointer: '/a~1b/m~0n/0', value: 1 },
    { pointer: '/a~1b/m~0n/1/t', value: '21.5' },
  ]);
  expect(placesIn('7')).toEqual([{ pointer: '', value: 7 }]);
  expect(placesIn('temperature=7')).toBeNull();
});

test('whatever the message, a number that is tapped is the number that is read', () => {
  fc.assert(
    fc.property(fc.json({ maxDepth: 4 }), (payload) => {
      for (const { pointer, value } of placesIn(payload) ?? []) {
        if (typeof value !== 'number') continue;
        const mapping: Mapping = { probe: 'p', topic: 't', fields: [{ pointer, quantity: 'humidity', unit: '%RH' }] };
        const { records, faults } = applyMapping(mapping, payload);
        expect(faults).toEqual([]);
        expect(records[0]?.value).toBe(value);
      }
    }),
  );
});

test('a list without end is cut', () => {
  expect(placesIn(JSON.stringify(Array.from({ length: 5000 }, (_, index) => index)))?.length).toBe(200);
  expect(placesIn(`${'['.repeat(100)}1${']'.repeat(100)}`)).toEqual([]);
});

test.each([
  ['/temp', 'temperature', ''],
  ['/temp_f', 'temperature', ''],
  ['/t', 'temperature', ''],
  ['/env/rh', 'humidity', '%RH'],
  ['/vcc', 'battery', ''],
  ['/batteryLevel', 'battery', ''],
  ['/ohms', 'resistance', ''],
  ['/water/level', 'level', ''],
] as const)('%s is taken for %s, and its unit is chosen only where there is one', (pointer, quantity, unit) => {
  expect(guessOf({ pointer, value: 21.3 })).toEqual({ pointer, quantity, unit });
});

test('a probe or a unit that nobody chose is a fault at its place', () => {
  const field = guessOf({ pointer: '/temp', value: 21.3 });
  const said = (probe: string, unit: string) =>
    Mapping.safeParse(mappingSaid({ topic: 't', probe, fields: [{ ...field, unit }], time: null }));
  expect(
    said('', '')
      .error?.issues.map(({ path }) => path.join('.'))
      .sort(),
  ).toEqual(['fields.0.unit', 'probe']);
  expect(said('air', 'Cel').data).toEqual({
    topic: 't',
    probe: 'air',
    fields: [{ pointer: '/temp', quantity: 'temperature', unit: 'Cel' }],
  });
});

test('every unit that is offered is one that a mapping takes', () => {
  for (const [quantity, units] of Object.entries(UNITS))
    for (const unit of units) {
      const fields = [{ pointer: '/v', quantity, unit }] as never;
      expect(Mapping.safeParse(mappingSaid({ topic: 't', probe: 'p', fields, time: null })).success, `${quantity} ${unit}`).toBe(
        true,
      );
    }
  const field = { pointer: '/v', quantity: 'temperature', unit: 'Far' } as const;
  expect(asQuantity(field, 'level').unit).toBe('');
  expect(asQuantity(field, 'temperature').unit).toBe('Far');
});

test.each([
  ['2026-01-15T20:00:00Z', 'iso'],
  [1_768_507_200, 'unix-seconds'],
  [1_768_507_200_000, 'unix-milliseconds'],
] as const)('%s is a time in the format %s', (value, format) => {
  expect(timeOf({ pointer: '/time', value })).toEqual({ pointer: '/time', format });
});

test('topics are gathered from what was set aside, without those that have their meaning or are read by now', () => {
  const item = (id: number, topic: string, reason = 'wrong-topic') => ({
    id,
    topic,
    reason,
    at: '2026-01-15T20:00:00Z',
    probe: null,
    detail: '',
    payload: '{}',
    bytes: 2,
  });
  const items = [item(4, 'a/1'), item(3, 'b'), item(2, 'a/1'), item(1, 'cure/yard/x'), item(0, 'c', 'malformed')];
  expect(unreadTopics(items, new Set(['b'])).map(({ topic }) => topic)).toEqual(['a/1']);
  expect(unreadTopics(items, new Set()).map(({ topic, count, newest }) => [topic, count, newest.id])).toEqual([
    ['a/1', 2, 4],
    ['b', 1, 3],
  ]);
});
