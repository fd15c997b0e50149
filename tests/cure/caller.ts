import { Fold, type FoldSpec, type FoldState, foldAll } from '../../edge/cure/fold.ts';
import type { Reading } from './histories.ts';

/** Folds a whole set of readings from nothing, each probe's readings handed to all its lanes. */
export function foldReadings(spec: FoldSpec, readings: readonly Reading[]): Fold {
  const lanes = spec.lanes.map(({ probe }) => {
    const own = readings.filter((reading) => reading.probe === probe).sort((a, b) => a.atMs - b.atMs);
    return { atMs: own.map((reading) => reading.atMs), milliC: own.map((reading) => reading.milliC) };
  });
  return foldAll(spec, lanes);
}

/**
 * What a program around the fold does: drops duplicates, offers each reading as it comes, and folds afresh from all readings so
 * far when the fold refuses one.
 */
export class Caller {
  readonly spec: FoldSpec;
  readonly taken: Reading[] = [];
  fold: Fold;
  /** How often a reading was taken up without folding afresh, after some time had been settled. */
  incremental = 0;
  afresh = 0;

  constructor(spec: FoldSpec) {
    this.spec = spec;
    this.fold = new Fold(spec);
  }

  take(reading: Reading): void {
    if (this.taken.some((old) => old.probe === reading.probe && old.atMs === reading.atMs)) return;
    this.taken.push(reading);
    const settled = this.fold.state.frontierMs > this.spec.startMs;
    const accepted = this.spec.lanes.every(
      ({ probe }, lane) => probe !== reading.probe || this.fold.offer(lane, reading.atMs, reading.milliC),
    );
    if (accepted && settled) this.incremental++;
    if (!accepted) {
      this.afresh++;
      this.fold = foldReadings(this.spec, this.taken);
    }
  }

  /** As after a restart: the state goes through text and a new fold carries on with it. */
  keepAndTakeUp(): void {
    this.fold = new Fold(this.spec, JSON.parse(JSON.stringify(this.fold.state)) as FoldState);
  }
}
