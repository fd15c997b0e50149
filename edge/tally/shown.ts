import type { JointView } from '../site/views/joint.ts';

/** What was last told of each joint that time alone may change: its conditions, and which findings are open. */
export class Shown {
  readonly #told = new Map<string, string>();

  /** Whether that is something else than last time; not the first time. */
  isNew({ joint, conditions, findings }: JointView): boolean {
    const shown = [...conditions, ...findings.map(({ id, open }) => `${id} ${open}`)].join();
    const before = this.#told.get(joint);
    this.#told.set(joint, shown);
    return before !== undefined && before !== shown;
  }
}
