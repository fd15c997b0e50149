import { heatFor, holdFor, type Wanted } from '../../cure/outlook/booking.ts';
import type { Change, Heat } from '../../cure/outlook/input.ts';
import { project } from '../../cure/outlook/project.ts';
import type { StageReadiness } from '../../site/views/outlook.ts';

/** What is asked of the planner: plain data, so that it can go to another thread. */
export interface Asked {
  /** What is still missing. */
  readonly wanted: readonly Wanted[];
  readonly dueMs: number;
  /** What somebody might do, by joint; a joint without stays as it is. */
  readonly changes: ReadonlyMap<string, Change>;
  /** The heat that advice is about. */
  readonly heat: Heat;
}

export interface Advice {
  /** Of the joints that something would be done about: when they would have their stages. */
  readonly changed: ReadonlyMap<string, readonly StageReadiness[]>;
  /** See `holdFor`. */
  readonly hold: ReturnType<typeof holdFor>;
  /** See `heatFor`. */
  readonly heat: ReturnType<typeof heatFor>;
}

/** What would become of it with these changes, and what would help without them. */
export function adviceOn({ wanted, dueMs, changes, heat }: Asked): Advice {
  const inputs = new Map(wanted.map(({ input }) => [input.joint, input]));
  const changed = [...changes].flatMap(([joint, change]): [string, readonly StageReadiness[]][] => {
    const input = inputs.get(joint);
    return input === undefined ? [] : [[joint, project(input, { change }).stages]];
  });
  return { changed: new Map(changed), hold: holdFor(wanted, dueMs), heat: heatFor(wanted, dueMs, heat) };
}
