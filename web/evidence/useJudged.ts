import { useEffect, useRef, useState } from 'preact/hooks';
import type { Check, CheckId, Verdict } from '../../edge/evidence/verify.ts';
import { type Bench, Court } from './court.ts';
import type { Told } from './judge.ts';

/** One bundle on its way to a verdict. */
export interface Judged<Contents> {
  readonly file: File;
  readonly trustedKey: string | null;
  readonly titles: readonly (readonly [CheckId, string])[];
  /** Those that are done. */
  readonly checks: readonly Check[];
  readonly verdict: Verdict | null;
  readonly sha256: string | null;
  readonly tookMs: number | null;
  /** When it was through, by this device's clock. */
  readonly atMs: number | null;
  /** Why the file could not be read. */
  readonly unread: string | null;
  readonly contents: Contents | null;
}

/** Judges the file that is chosen. `bench` is taken once. */
export function useJudged<Contents>(bench: Bench<Contents>) {
  const [judged, setJudged] = useState<Judged<Contents> | null>(null);
  const court = useRef<Court<Contents> | null>(null);
  useEffect(() => () => court.current?.close(), []);
  const judge = (file: File, trustedKey: string | null) => {
    court.current ??= new Court(bench);
    const begun = { file, trustedKey, titles: [], checks: [], verdict: null, sha256: null, tookMs: null, atMs: null };
    setJudged({ ...begun, unread: null, contents: null });
    court.current.judge(file, trustedKey, (told) => setJudged((before) => before && afterHearing(before, told)));
  };
  return { judged, judge };
}

function afterHearing<Contents>(before: Judged<Contents>, told: Told<Contents>): Judged<Contents> {
  switch (told.kind) {
    case 'begun':
      return { ...before, titles: told.titles };
    case 'checked':
      return { ...before, checks: [...before.checks, told.check] };
    case 'judged':
      return { ...before, verdict: told.verdict, sha256: told.sha256, tookMs: told.tookMs, atMs: Date.now() };
    case 'opened':
      return { ...before, contents: told.contents };
    case 'unread':
      return { ...before, unread: told.detail };
  }
}
