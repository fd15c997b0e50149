import { setTimeout as sleep } from 'node:timers/promises';

import type { JointView } from '../site/views/joint.ts';
import type { Clock } from './live.ts';
import type { Body } from './thermal.ts';

/** Of the simulated heater that comes on when somebody records one. */
const RISE_CELSIUS = 16;
/** What its thermostat is set to when nobody says. */
const HOLD_CELSIUS = 18;

/** What a site shows of a joint's heating. */
export type HeatingShown = Pick<JointView, 'joint' | 'heating'>;

/** The hands that switch simulated heaters as the record says. */
export class Heaters {
  readonly #bodies: ReadonlyMap<string, Body>;
  /** The entry by which each joint's heater is on; null: by none. */
  readonly #heeded = new Map<string, number | null>();

  constructor(bodies: ReadonlyMap<string, Body>) {
    this.#bodies = bodies;
  }

  /**
   * Takes what the site shows. What it shows of a joint the first time is there already; whatever changes afterwards is done now,
   * whenever it is said to have happened.
   */
  heed(shown: readonly HeatingShown[], nowMs: number): void {
    for (const { joint, heating } of shown) {
      const heater = heating?.what === 'heater' ? heating : null;
      const seq = heater?.seq ?? null;
      const before = this.#heeded.get(joint);
      this.#heeded.set(joint, seq);
      const body = this.#bodies.get(joint);
      if (body === undefined || before === undefined || before === seq) continue;
      body.heater = heater && { fromMs: nowMs, riseCelsius: RISE_CELSIUS, holdCelsius: heater.holdCelsius ?? HOLD_CELSIUS };
    }
  }
}

export interface Attendance {
  /** Where the site's record is read. */
  readonly desk: { heatings(): Promise<readonly HeatingShown[]> };
  readonly clock: Clock;
  readonly everyMs: number;
  readonly signal: AbortSignal;
}

/** Has the site's record heeded until `signal` aborts. A site that does not answer is asked again, without a word. */
export async function attend(heaters: Heaters, { desk, clock, everyMs, signal }: Attendance): Promise<void> {
  while (true) {
    await sleep(everyMs, undefined, { signal }).catch(() => undefined);
    if (signal.aborted) return;
    const shown = await desk.heatings().catch(() => null);
    if (shown !== null) heaters.heed(shown, clock());
  }
}
