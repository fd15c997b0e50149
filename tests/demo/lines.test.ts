import { describe, expect, it } from 'vitest';

import { findingOf } from '../../edge/demo/lines.ts';
import { ines } from '../../edge/demo/people.ts';
import type { FindingView } from '../../edge/site/views/finding.ts';

const line = {
  ...{ hoursAgo: 1, by: ines },
  decide: { joint: 'j1', code: 'gap', decision: 'accept', reason: 'seen' },
} as const;

const finding = (code: FindingView['code'], id: string): FindingView => ({
  ...{ id, code, joint: 'j1', sump: 's1', severity: 'warning', probes: [], from: '', to: null, numbers: {}, words: {} },
  ...{ blocks: [], mayDecide: [], provable: false, open: true, decision: null, decisions: [] },
});

describe('findingOf', () => {
  it('gives the id of the one finding with that code', () => {
    expect(findingOf(line, [finding('rain', 'a'), finding('gap', 'b')])).toBe('b');
  });

  it.each([0, 2])('refuses to choose among %d', (count) => {
    const findings = Array.from({ length: count }, (_, index) => finding('gap', String(index)));
    expect(() => findingOf(line, findings)).toThrow(`expects one finding "gap" on joint j1, not ${count}`);
  });
});
