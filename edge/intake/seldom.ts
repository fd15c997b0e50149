const BETWEEN_MS = 1000;

/**
 * Passes faults on, at most one a second, for a log that strangers must not fill: the first at once, and of those that follow
 * within the second the last, with how many more there were. `stop` tells what is still held back.
 */
export function seldom(tell: (fault: Error) => void): { tell(fault: Error): void; stop(): void } {
  let quiet: NodeJS.Timeout | null = null;
  let last: Error | null = null;
  let held = 0;
  const release = () => {
    if (last !== null) tell(held === 1 ? last : new Error(`${last.message} (and ${held - 1} more within a second)`));
    quiet = last === null ? null : setTimeout(release, BETWEEN_MS).unref();
    last = null;
    held = 0;
  };
  return {
    tell(fault) {
      last = fault;
      held++;
      if (quiet === null) release();
    },
    stop() {
      if (quiet !== null) clearTimeout(quiet);
      release();
      if (quiet !== null) clearTimeout(quiet);
      quiet = null;
    },
  };
}
