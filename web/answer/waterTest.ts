import type { WaterTest } from '../../edge/cure/waterTest.ts';
import { lengthOf, numberOf } from './typed.ts';

/** A water test while it is being done: what was typed, and when each step ended. */
export interface Draft {
  readonly method: 'full-height' | 'low-level';
  readonly unit: 'in' | 'mm';
  /** Smallest step on the stick, in `unit`. */
  readonly resolution: number;
  readonly fill: string;
  readonly depth: string;
  /** Empty: there is none. */
  readonly probe: string;
  readonly start: string;
  readonly end: string;
  readonly celsiusStart: number | null;
  readonly celsiusEnd: number | null;
  /** UTC ms; null: not yet. */
  readonly filledMs: number | null;
  readonly startedMs: number | null;
  readonly endedMs: number | null;
  readonly note: string;
}

export function emptyDraft(unit: Draft['unit']): Draft {
  return {
    method: 'full-height',
    unit,
    resolution: unit === 'in' ? 1 / 16 : 1,
    fill: '',
    depth: '',
    probe: '',
    start: '',
    end: '',
    celsiusStart: null,
    celsiusEnd: null,
    filledMs: null,
    startedMs: null,
    endedMs: null,
    note: '',
  };
}

export type Step = 'fill' | 'settle' | 'hold' | 'verdict';
export const STEPS: readonly Step[] = ['fill', 'settle', 'hold', 'verdict'];

/** The step that is to be done. */
export function stepOf({ filledMs, startedMs, endedMs }: Draft): Step {
  if (filledMs === null) return 'fill';
  if (startedMs === null) return 'settle';
  return endedMs === null ? 'hold' : 'verdict';
}

/** The draft with everything from `step` on to be done again; what was typed stays. */
export function backTo(draft: Draft, step: Step): Draft {
  const at = STEPS.indexOf(step);
  return {
    ...draft,
    filledMs: at <= 0 ? null : draft.filledMs,
    startedMs: at <= 1 ? null : draft.startedMs,
    endedMs: at <= 2 ? null : draft.endedMs,
  };
}

/** How far the water stood above the highest penetration, or null. */
export function fillOf({ fill }: Draft): number | null {
  return lengthOf(fill);
}

/** Both levels were read by hand. */
export function isByHand({ start, end }: Draft): boolean {
  return lengthOf(start) !== null && lengthOf(end) !== null;
}

/** What to judge by the levels read by hand; null while something for it is missing. */
export function testOf(draft: Draft): WaterTest | null {
  const { method, unit, resolution, filledMs, startedMs, endedMs, celsiusStart, celsiusEnd } = draft;
  const [fill, start, end, depth] = [draft.fill, draft.start, draft.end, draft.depth].map(lengthOf);
  if (fill == null || start == null || end == null) return null;
  if (filledMs === null || startedMs === null || endedMs === null) return null;
  const level = (value: number) => ({ value, unit });
  return {
    method,
    fillAboveHighest: level(fill),
    startLevel: level(start),
    endLevel: level(end),
    resolution: level(resolution),
    settleMinutes: (startedMs - filledMs) / 60_000,
    durationMinutes: (endedMs - startedMs) / 60_000,
    ...(depth == null ? {} : { waterDepth: level(depth) }),
    ...(celsiusStart === null ? {} : { waterCelsiusStart: celsiusStart }),
    ...(celsiusEnd === null ? {} : { waterCelsiusEnd: celsiusEnd }),
  };
}

/** A draft that was kept as text; null: it is none, or of another make. */
export function draftOf(kept: string | null): Draft | null {
  if (kept === null) return null;
  try {
    const read: unknown = JSON.parse(kept);
    const whole = emptyDraft('in');
    if (typeof read !== 'object' || read === null) return null;
    const isSame = Object.entries(whole).every(([key, value]) => {
      const own = (read as Record<string, unknown>)[key];
      return value === null ? own === null || typeof own === 'number' : typeof own === typeof value;
    });
    return isSame ? (read as Draft) : null;
  } catch {
    return null;
  }
}

/** Whether a text field of the draft holds something that is no length. */
export const isBadLength = (typed: string) => typed.trim() !== '' && lengthOf(typed) === null;
export const isBadNumber = (typed: string) => typed.trim() !== '' && numberOf(typed) === null;
