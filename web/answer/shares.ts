import type { JointView } from '../../edge/site/views/joint.ts';

/** What became of the hours since lay-up, in tenths of an hour that add up to `clock` as they are shown. */
interface Shares {
  /** Rounded down: never more than was earned. */
  readonly warm: number;
  /** Taken off for cold above the floor. */
  readonly reduced: number;
  readonly cold: number;
  readonly unproven: number;
  /** Since the last reading; null while it is less than a minute. */
  readonly notYet: number | null;
  readonly clock: number;
}

const MINUTE_HOURS = 1 / 60;

/** The shares of a joint's clock hours: the tenths that rounding down loses go to the largest remainders beside the warm hours. */
export function sharesOf({ warmHours, reducedHours, coldHours, unprovenHours, clockHours }: JointView): Shares {
  const settled = [warmHours, reducedHours, coldHours, unprovenHours].map((hours) => Math.max(0, hours));
  const restHours = clockHours - settled.reduce((sum, hours) => sum + hours, 0);
  const exact = [...settled, restHours < MINUTE_HOURS ? 0 : restHours].map((hours) => hours * 10);
  const tenths = exact.map((share) => Math.floor(share + 1e-6));
  const left = (index: number) => (exact[index] ?? 0) - (tenths[index] ?? 0);
  const shown = tenths.reduce((sum, share) => sum + share, 0);
  const clock = Math.max(shown, Math.floor(exact.reduce((sum, share) => sum + share, 0) + 1e-6));
  const gainers = [1, 2, 3, 4].sort((a, b) => left(b) - left(a)).slice(0, clock - shown);
  const [warm = 0, reduced = 0, cold = 0, unproven = 0, rest = 0] = tenths.map(
    (share, at) => share + (gainers.includes(at) ? 1 : 0),
  );
  return { warm, reduced, cold, unproven, notYet: restHours < MINUTE_HOURS ? null : rest, clock };
}
