import { describe, expect, test } from 'vitest';
import { type InspectSpec, inspect } from '../../../edge/cure/inspect/inspect.ts';
import { cold, GAP_LIMIT_MS, HOUR_MS, MINUTE_MS, piece, START_MS, specOf, unproven } from './joints.ts';

const at = (hours: number) => START_MS + hours * HOUR_MS;
const shown = (changes: Partial<InspectSpec>) => inspect(specOf(changes));

describe('gap', () => {
  test('a silence longer than the gap limit, and not one of just that length', () => {
    const around = (spanMs: number) => [piece(at(0), at(2)), unproven(at(2), at(2) + spanMs), piece(at(2) + spanMs, at(24))];
    expect(shown({ pieces: around(GAP_LIMIT_MS) })).toEqual([]);
    expect(shown({ pieces: around(GAP_LIMIT_MS + 1) })).toEqual([
      { kind: 'gap', probes: [], fromMs: at(2), toMs: at(2) + GAP_LIMIT_MS + 1, numbers: { spanMs: GAP_LIMIT_MS + 1 } },
    ]);
  });

  test('neighbouring unproven pieces are one silence, others are not', () => {
    const pieces = [
      unproven(at(0), at(1)),
      unproven(at(1), at(2)),
      piece(at(2), at(3)),
      unproven(at(3), at(4)),
      piece(at(4), at(24)),
    ];
    expect(shown({ pieces }).map(({ fromMs, toMs }) => [fromMs, toMs])).toEqual([
      [at(0), at(2)],
      [at(3), at(4)],
    ]);
  });

  test('a silence that goes on is open, once it has outlasted the gap limit', () => {
    const pieces = [piece(at(0), at(2))];
    expect(shown({ pieces, nowMs: at(2) + GAP_LIMIT_MS })).toEqual([]);
    const nowMs = at(2) + GAP_LIMIT_MS + 1;
    expect(shown({ pieces, nowMs })).toEqual([
      { kind: 'gap', probes: [], fromMs: at(2), toMs: null, numbers: { spanMs: GAP_LIMIT_MS + 1 } },
    ]);
    expect(shown({ pieces: [...pieces, unproven(at(2), at(3))], nowMs: at(4) })).toMatchObject([{ fromMs: at(2), toMs: null }]);
    expect(shown({ pieces: [...pieces, unproven(at(2), at(3))], nowMs: at(3) + GAP_LIMIT_MS })).toMatchObject([
      { fromMs: at(2), toMs: at(3) },
    ]);
  });

  test('no reading at all since the last ply', () => {
    expect(shown({ pieces: [], nowMs: at(5) })).toMatchObject([{ kind: 'gap', fromMs: at(0), toMs: null }]);
    expect(shown({ pieces: [], nowMs: at(5), startMs: null })).toEqual([]);
  });

  test('nothing after the last stage', () => {
    expect(shown({ pieces: [piece(at(0), at(12)), unproven(at(12), at(20))], doneMs: at(12) })).toEqual([]);
  });
});

describe('cold before gel', () => {
  const pieces = [
    cold(at(0), at(1), 4000),
    piece(at(1), at(2)),
    cold(at(2), at(2.5), 3500),
    cold(at(2.5), at(4)),
    piece(at(4), at(24)),
  ];

  test('all cold before gel is one episode, with the total, the longest and the coldest', () => {
    const spanMs = 3 * HOUR_MS;
    expect(shown({ pieces, hasGelStage: true, gelMs: at(5) })).toEqual([
      {
        kind: 'cold-before-gel',
        probes: [],
        fromMs: at(0),
        toMs: at(4),
        numbers: { spanMs, longestMs: 2 * HOUR_MS, milliC: 3500, floorMilliC: 5000 },
      },
    ]);
    expect(shown({ pieces, hasGelStage: true, gelMs: at(2) })).toMatchObject([{ toMs: at(1), numbers: { spanMs: HOUR_MS } }]);
  });

  test('one millisecond is enough, what comes from gel on is not', () => {
    const late = [piece(at(0), at(3)), cold(at(3), at(24))];
    expect(shown({ pieces: late, hasGelStage: true, gelMs: at(3) })).toEqual([]);
    expect(shown({ pieces: late, hasGelStage: true, gelMs: at(3) + 1 })).toMatchObject([{ numbers: { spanMs: 1 } }]);
  });

  test('open while it is cold and not gelled', () => {
    const now = [piece(at(0), at(3)), cold(at(3), at(24))];
    expect(shown({ pieces: now, hasGelStage: true })).toMatchObject([{ kind: 'cold-before-gel', fromMs: at(3), toMs: null }]);
    const ended = [cold(at(0), at(2)), piece(at(2), at(2) + MINUTE_MS)];
    const justNow = { hasGelStage: true, nowMs: at(2) + 2 * MINUTE_MS };
    expect(shown({ ...justNow, pieces: ended })).toMatchObject([{ toMs: at(2) }]);
    expect(shown({ ...justNow, pieces: [cold(at(0), at(2) + MINUTE_MS)], gelMs: at(2) })).toMatchObject([{ toMs: at(2) }]);
    const silent = shown({ pieces: now, hasGelStage: true, nowMs: at(26) });
    expect(silent.map(({ kind, toMs }) => [kind, toMs])).toEqual([
      ['cold-before-gel', at(24)],
      ['gap', null],
    ]);
  });

  test('not on a schedule without such a stage', () => {
    expect(shown({ pieces })).toEqual([]);
  });
});

describe('below proof', () => {
  const proofBelow = { milliC: 10_000, toleratedMs: 2 * HOUR_MS };
  const below = (spanMs: number) => [
    piece(at(0), at(1), { milliC: 9999 }),
    piece(at(1), at(5), { milliC: 10_000 }),
    cold(at(5), at(4) + spanMs),
    piece(at(4) + spanMs, at(24)),
  ];

  test('more than is tolerated in all, the cold included, and not just as much', () => {
    expect(shown({ pieces: below(2 * HOUR_MS), proofBelow })).toEqual([]);
    expect(shown({ pieces: below(2 * HOUR_MS + 1), proofBelow })).toEqual([
      {
        kind: 'below-proof',
        probes: [],
        fromMs: at(0),
        toMs: at(6) + 1,
        numbers: { spanMs: 2 * HOUR_MS + 1, longestMs: HOUR_MS + 1, milliC: 4000, proofBelowMilliC: 10_000 },
      },
    ]);
  });

  test('not where the schedule names no such temperature, nor for time that nobody proved', () => {
    expect(shown({ pieces: below(9 * HOUR_MS) })).toEqual([]);
    const silent = [unproven(at(0), at(12)), piece(at(12), at(24))];
    expect(shown({ pieces: silent, proofBelow }).map((episode) => episode.kind)).toEqual(['gap']);
  });
});
