import type { SystemStatement } from '../../site/entries.ts';
import type { WarningCode } from '../../site/said/tomorrow.ts';
import type { SiteState } from '../../site/state/site.ts';
import { iso } from '../../site/views/iso.ts';
import type { WarningView } from '../../site/views/warning.ts';
import type { Feared } from './foresee.ts';

/** A warning ends when it has not been feared for so long; a probe that speaks again ends its own at once. */
const ENDS_AFTER_MS = 10 * 60_000;
/** At most so many stand at a time; what is feared beyond them waits. */
const STANDING_MOST = 200;

/** Decides when a warning is raised and when it has ended. What was raised and ended is on record; what is feared now is not. */
export class WarningDesk {
  readonly #site: SiteState;
  readonly #nowMs: () => number;
  readonly #feared = new Map<string, Feared & { readonly atMs: number }>();

  constructor(site: SiteState, nowMs: () => number) {
    this.#site = site;
    this.#nowMs = nowMs;
  }

  /** Takes what is feared now; returns what has to be put on record. */
  round(feared: readonly Feared[]): SystemStatement[] {
    const nowMs = this.#nowMs();
    for (const each of feared) this.#feared.set(keyOf(each), { ...each, atMs: nowMs });
    const standing = new Map([...this.#site.warnings.values()].map((warning) => [keyOf(warning), warning]));
    const raised = feared
      .filter((each) => each.raise && !standing.has(keyOf(each)))
      .slice(0, Math.max(0, STANDING_MOST - standing.size))
      .map(({ code, owner, numbers }): SystemStatement => {
        return { kind: 'warning.raised', warning: `${code}:${owner}:${nowMs}`, code, owner, numbers };
      });
    const ended = [...standing].flatMap(([key, { warning, code, raisedMs }]): SystemStatement[] => {
      const lastMs = this.#feared.get(key)?.atMs ?? Math.min(raisedMs, nowMs);
      if (lastMs === nowMs || (code !== 'reading-stopped' && nowMs - lastMs < ENDS_AFTER_MS)) return [];
      this.#feared.delete(key);
      return [{ kind: 'warning.ended', warning }];
    });
    return [...raised, ...ended];
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

function keyOf({ code, owner }: { readonly code: WarningCode; readonly owner: string }): string {
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
