import type { Piece } from '../cure/fold.ts';
import type { Episode } from '../cure/inspect/episode.ts';
import { type InspectedSeries, inspect } from '../cure/inspect/inspect.ts';
import { HOUR_MS } from '../cure/schedule.ts';
import type { TakenColumns } from '../keeper/batch.ts';
import type { Readings } from '../ledger/readings.ts';
import { doneOf } from '../site/findings/jointFindings.ts';
import { isImported, probeOfSource } from '../site/sources.ts';
import type { Joint } from '../site/state/joint.ts';
import type { SiteState } from '../site/state/site.ts';
import type { Tally } from './tally.ts';
import { BATTERY_PERCENT, BATTERY_VOLTS, HUMIDITY, temperaturesOf } from './values.ts';

/** A joint whose readings come in all the time is looked through anew so often; at once when a stage is reached. */
const AGAIN_MS = 15_000;
/** One that is silent: time alone brings findings too. */
const QUIET_AGAIN_MS = 60_000;
/** One round of looking through takes no longer than this, or one joint. */
const ROUND_MS = 50;

interface Inspected {
  readonly episodes: readonly Episode[];
  readonly atMs: number;
  /** What it rests on beside new readings: with anything else it has to be looked through before it is shown. */
  readonly grounds: string;
}

/** Looks through every joint's readings for exceptions, and keeps what it found until there is reason to look again. */
export class Inspector {
  readonly #site: SiteState;
  readonly #tally: Tally;
  readonly #readings: Readings;
  readonly #nowMs: () => number;
  readonly #monoMs: () => number;
  readonly #inspected = new Map<string, Inspected>();
  readonly #touched = new Set<string>();
  /** Joints of which readings came that were measured before they were looked through. */
  readonly #late = new Set<string>();

  constructor(parts: {
    site: SiteState;
    tally: Tally;
    readings: Readings;
    nowMs: () => number;
    monoMs: () => number;
  }) {
    this.#site = parts.site;
    this.#tally = parts.tally;
    this.#readings = parts.readings;
    this.#nowMs = parts.nowMs;
    this.#monoMs = parts.monoMs;
  }

  /** Takes over what an earlier run found. Of a joint that goes on it is looked at again in passing. */
  resume(name: string, episodes: readonly Episode[]): void {
    const joint = this.#site.joints.get(name);
    if (joint === undefined) return;
    this.#inspected.set(name, {
      episodes,
      atMs: Number.NEGATIVE_INFINITY,
      grounds: this.#grounds(joint),
    });
    // It may have stopped before it had looked at what came last.
    this.#late.add(name);
  }

  /** Takes note of readings that have just been committed, of whatever quantity. */
  take({ names, probe, atMs }: TakenColumns): void {
    const oldest = new Float64Array(names.length).fill(Number.POSITIVE_INFINITY);
    for (let row = 0; row < probe.length; row++) {
      const name = probe[row] as number;
      if ((atMs[row] as number) < (oldest[name] as number)) oldest[name] = atMs[row] as number;
    }
    for (const { joint, assignments } of this.#site.joints.values())
      names.forEach((name, index) => {
        if (!assignments.some(({ probes, ambient }) => ambient === name || probes.includes(name))) return;
        this.#touched.add(joint);
        if ((oldest[index] as number) <= (this.#inspected.get(joint)?.atMs ?? 0)) this.#late.add(joint);
      });
  }

  /** Looks through those of `joints` that have new readings, however long it takes: before anything rests on it. */
  refresh(joints: readonly string[]): void {
    for (const name of joints) {
      const joint = this.#site.joints.get(name);
      if (joint !== undefined && (this.#touched.has(name) || this.#late.has(name))) this.#look(joint);
    }
  }

  /** What stands out in the joint's readings. */
  episodes(joint: Joint): readonly Episode[] {
    const known = this.#inspected.get(joint.joint);
    return (known?.grounds === this.#grounds(joint) ? known : this.#look(joint)).episodes;
  }

  /** What is known, to be kept for the next run. */
  kept(joint: string): readonly Episode[] | null {
    return this.#inspected.get(joint)?.episodes ?? null;
  }

  /** Looks through those whose turn it is; returns the joints where something changed. */
  round(): string[] {
    const nowMs = this.#nowMs();
    const endMonoMs = this.#monoMs() + ROUND_MS;
    const changed: string[] = [];
    for (const [name, joint] of this.#site.joints) {
      const known = this.#inspected.get(name);
      const againMs = this.#touched.has(name) ? AGAIN_MS : QUIET_AGAIN_MS;
      if (known !== undefined && Math.abs(nowMs - known.atMs) < againMs) continue;
      this.#touched.delete(name);
      if (joint.openMs === null || (known !== undefined && this.#isOver(joint, known))) continue;
      const { episodes } = this.#look(joint);
      if (JSON.stringify(episodes) !== JSON.stringify(known?.episodes)) changed.push(name);
      if (this.#monoMs() > endMonoMs) break;
    }
    return changed;
  }

  /** Every stage was reached when it was last looked through, and nothing before has changed. */
  #isOver(joint: Joint, known: Inspected): boolean {
    const fold = this.#tally.fold(joint.joint);
    const doneMs = fold === null ? null : doneOf(joint, fold.state);
    return doneMs !== null && known.atMs > doneMs && known.grounds === this.#grounds(joint) && !this.#late.has(joint.joint);
  }

  #grounds({ joint, openMs, laidUpMs, assignments }: Joint): string {
    const reached = this.#tally.fold(joint)?.state.reached.length ?? 0;
    const probes = assignments
      .flatMap((assigned) => [...assigned.probes, assigned.ambient ?? ''])
      .map((name) => {
        const probe = this.#site.probes.get(name);
        return [probe?.settings.length, probe?.imports.length, probe?.batteryLowMilliVolts];
      });
    const { length: steps } = this.#site.clockSteps;
    const gelled = this.#tally.mixFold(joint)?.state.reached.length ?? 0;
    return JSON.stringify([openMs, laidUpMs, assignments, probes, steps, reached, gelled, this.#tally.revision(joint)]);
  }

  #look(joint: Joint): Inspected {
    const found = { episodes: this.#inspect(joint), atMs: this.#nowMs(), grounds: this.#grounds(joint) };
    this.#inspected.set(joint.joint, found);
    this.#touched.delete(joint.joint);
    this.#late.delete(joint.joint);
    return found;
  }

  #inspect(joint: Joint): Episode[] {
    const { openMs, laidUpMs } = joint;
    if (openMs === null) return [];
    const { definition } = joint.schedule;
    const nowMs = this.#nowMs();
    const pieces: Piece[] = [];
    const fold = this.#tally.replay(joint.joint, (piece) => pieces.push(piece));
    const doneMs = fold === null ? null : doneOf(joint, fold.state);
    const mixReached = this.#tally.mixFold(joint.joint)?.state.reached ?? [];
    return inspect({
      openMs,
      startMs: laidUpMs,
      gelMs: mixReached.find(({ stage }) => stage === 'gel')?.reachedAtMs ?? null,
      hasGelStage: definition.fromMix?.stages.some(({ stage }) => stage === 'gel') ?? false,
      doneMs,
      nowMs,
      gapLimitMs: Math.round(definition.gapLimitMinutes * 60_000),
      floorMilliC: Math.round(definition.floorCelsius * 1000),
      proofBelow:
        definition.proofBelow === undefined
          ? null
          : {
              milliC: Math.round(definition.proofBelow.celsius * 1000),
              toleratedMs: Math.round(definition.proofBelow.hours * HOUR_MS),
            },
      hotAboveMilliC: definition.hotAboveCelsius === undefined ? null : Math.round(definition.hotAboveCelsius * 1000),
      series: this.#seriesOf(joint, openMs, (doneMs ?? nowMs) + 1),
      pieces,
    });
  }

  /** What the joint's probes said while they belonged to it, one series for each time. */
  #seriesOf(joint: Joint, fromMs: number, untilMs: number): InspectedSeries[] {
    const { assignments } = joint;
    return assignments.flatMap(({ fromMs: sinceMs, probes, ambient }, index) => {
      const from = Math.max(fromMs, sinceMs);
      const until = Math.min(untilMs, assignments[index + 1]?.fromMs ?? Number.POSITIVE_INFINITY);
      if (from >= until) return [];
      const roles = [
        ...probes.map((name) => ({ name, role: 'material' as const })),
        ...(ambient === null ? [] : [{ name: ambient, role: 'ambient' as const }]),
      ];
      return roles.flatMap(({ name, role }) => {
        const probe = this.#site.probes.get(name);
        if (probe === undefined || probe.role !== role) return [];
        return [name, ...probe.imports.map(({ source }) => source)].map((source) => this.#series(source, role, from, until));
      });
    });
  }

  #series(source: string, role: 'material' | 'ambient', fromMs: number, untilMs: number): InspectedSeries {
    const probe = this.#site.probes.get(probeOfSource(source));
    const { counts } = this.#tally;
    const stored = (quantity: number) => this.#readings.range(source, quantity, fromMs, untilMs, counts);
    const temperature = temperaturesOf(this.#readings, source, probe, fromMs, untilMs, counts);
    const humidity = stored(HUMIDITY);
    const percent = stored(BATTERY_PERCENT);
    const volts = stored(BATTERY_VOLTS);
    return {
      probe: source,
      role,
      digital: isImported(source) || probe?.settings.at(-1)?.sensor.kind === 'digital',
      temperature: { atMs: temperature.atMs, milliC: temperature.milliC },
      humidity: { atMs: humidity.atMs, milliPercent: humidity.value },
      batteryPercent: { atMs: percent.atMs, milliPercent: percent.value },
      batteryVolts: { atMs: volts.atMs, milliVolts: volts.value },
      offCurveMs: temperature.offCurveMs,
      batteryLowMilliVolts: probe?.batteryLowMilliVolts ?? null,
    };
  }
}
