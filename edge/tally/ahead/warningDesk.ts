import type { SystemStatement } from '../../site/entries.ts';
import type { SiteState } from '../../site/state/site.ts';
import { iso } from '../../site/views/iso.ts';
import type { WarningView } from '../../site/views/warning.ts';
import type { Feared } from './foresee.ts';

/** A warning ends when it has not been feared for so long; that of a probe which speaks again at once. */
const ENDS_AFTER_MS = 10 * 60_000;
/** At most so many stand at a time; what is feared beyond them waits. */
const STANDING_MOST = 200;

/** Decides when a warning is raised and when it has ended. What was raised and ended is on record; what is feared now is not. */
export class WarningDesk {
  readonly #site: SiteState;
  readonly #nowMs: () => number;
  readonly #monoMs: () => number;
  /** When each was feared last, monotonic: somebody may set the wall clock. */
  readonly #feared = new Map<string, Feared & { readonly monoMs: number }>();

  constructor(site: SiteState, nowMs: () => number, monoMs: () => number) {
    this.#site = site;
    this.#nowMs = nowMs;
    this.#monoMs = monoMs;
  }

  /** Takes what is feared now; returns what has to be put on record. */
  round(feared: readonly Feared[]): SystemStatement[] {
    const monoMs = this.#monoMs();
    const present = new Set(feared.map(keyOf));
    /** Of these code and owner something is feared: another one of theirs is over at once. */
    const taken = new Set(feared.map(placeOf));
    for (const each of feared) this.#feared.set(keyOf(each), { ...each, monoMs });
    const standing = new Map([...this.#site.warnings.values()].map((warning) => [keyOf(warning), warning]));
    const raised = feared
      .filter((each) => each.raise && !standing.has(keyOf(each)))
      .slice(0, Math.max(0, STANDING_MOST - standing.size))
      .map(({ code, owner, numbers }): SystemStatement => {
        const warning = [code, owner, ...(numbers.seq === undefined ? [] : [numbers.seq]), this.#nowMs()].join(':');
        return { kind: 'warning.raised', warning, code, owner, numbers: { ...numbers } };
      });
    const ended = [...standing].flatMap(([key, warning]): SystemStatement[] => {
      if (present.has(key)) return [];
      const known = this.#feared.get(key);
      // It was raised in an earlier run: the wait begins now.
      if (known === undefined) this.#feared.set(key, { ...warning, raise: false, monoMs });
      const isFollowed = taken.has(placeOf(warning));
      const isHeard = warning.code === 'reading-stopped' && known !== undefined;
      if (!isFollowed && !isHeard && monoMs - (known?.monoMs ?? monoMs) < ENDS_AFTER_MS) return [];
      this.#feared.delete(key);
      return [{ kind: 'warning.ended', warning: warning.warning }];
    });
    for (const key of this.#feared.keys()) if (!present.has(key) && !standing.has(key)) this.#feared.delete(key);
    return [...ended, ...raised];
  }

  /** The warnings that stand, newest first, with their figures as they are now. */
  views(): WarningView[] {
    const { warnings, joints, sumps } = this.#site;
    return [...warnings.values()]
      .map((warning) => {
        const { code, owner, raisedMs, acknowledged, snoozed } = warning;
        const joint = code === 'reading-stopped' ? jointOf(this.#site, owner) : joints.get(owner);
        return {
          warning: warning.warning,
          code,
          owner,
          sump: joint?.sump ?? (sumps.has(owner) ? owner : null),
          joint: joint?.joint ?? null,
          numbers: { ...(this.#feared.get(keyOf(warning))?.numbers ?? warning.numbers) },
          raisedAt: iso(raisedMs),
          acknowledged: acknowledged && { by: acknowledged.by, at: iso(acknowledged.atMs) },
          snoozed: snoozed === null || snoozed.untilMs <= this.#nowMs() ? null : { by: snoozed.by, until: iso(snoozed.untilMs) },
        };
      })
      .reverse();
  }
}

/** What makes it this warning and no other. */
function keyOf(feared: Pick<Feared, 'code' | 'owner' | 'numbers'>): string {
  return `${placeOf(feared)}:${feared.numbers.seq ?? ''}`;
}

function placeOf({ code, owner }: Pick<Feared, 'code' | 'owner'>): string {
  return `${code}:${owner}`;
}

/** The joint that a probe is on. */
function jointOf({ joints }: SiteState, probe: string) {
  for (const joint of joints.values()) {
    const assigned = joint.assignments.at(-1);
    if (assigned?.probes.includes(probe) || assigned?.ambient === probe) return joint;
  }
  return undefined;
}
