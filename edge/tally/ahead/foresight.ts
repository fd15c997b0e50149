import type { Clock } from '../../clock/clock.ts';
import { CodedError } from '../../errors.ts';
import type { SystemStatement } from '../../site/entries.ts';
import type { WarningView } from '../../site/views/warning.ts';
import { type ForeseeParts, foresee } from './foresee.ts';
import { Rhythms } from './rhythms.ts';
import { WarningDesk } from './warningDesk.ts';

/** What is to be feared is looked at so often, and not before the probes had time to be heard after a start. */
const EVERY_MS = 10_000;
const AFTER_START_MS = 60_000;

interface ForesightParts extends Omit<ForeseeParts, 'rhythms' | 'nowMs'> {
  readonly clock: Clock;
  /** Puts what the program says on record. @throws CodedError `not-recording`. */
  readonly record: (statements: readonly SystemStatement[]) => Promise<unknown>;
  /** Does work after all that has been said so far. */
  readonly inTurn: (work: () => Promise<void>) => Promise<void>;
  /** To be called when the warnings are other ones, or say something else. */
  readonly onChange: () => void;
  /** A fault of looking ahead is no fault of the record: it is told, and recording goes on. */
  readonly onFault: (fault: Error) => void;
}

/** Watches for what is to be feared, and keeps the warnings that stand. */
export class Foresight {
  readonly #parts: ForesightParts;
  readonly #desk: WarningDesk;
  readonly #rhythms: Rhythms;
  /** Monotonic, ms: when it is looked at next. */
  #nextMs: number;
  #looked = false;
  #shown = '';

  constructor(parts: ForesightParts) {
    this.#parts = parts;
    const monoMs = () => parts.clock.now().monoMs;
    this.#desk = new WarningDesk(parts.site, () => parts.clock.now().wallMs, monoMs);
    this.#rhythms = new Rhythms(monoMs);
    this.#nextMs = monoMs() + AFTER_START_MS;
  }

  /** The warnings that stand, newest first. */
  views(): WarningView[] {
    return this.#desk.views();
  }

  /** Puts on record what is to be feared from now on, and what is not any more, when it is time to look. */
  round(): void {
    const { clock, inTurn, record, onFault } = this.#parts;
    const { monoMs } = clock.now();
    if (monoMs < this.#nextMs || !clock.trusted) return;
    this.#nextMs = monoMs + EVERY_MS;
    this.#looked = true;
    try {
      const feared = foresee({ ...this.#parts, rhythms: this.#rhythms, nowMs: () => clock.now().wallMs });
      inTurn(async () => {
        const statements = this.#desk.round(feared);
        if (statements.length > 0) await record(statements);
        this.changed();
      }).catch((fault: Error) => {
        // That nothing is being recorded has been told already.
        if (!(fault instanceof CodedError)) onFault(fault);
      });
    } catch (fault) {
      onFault(fault instanceof Error ? fault : new Error(String(fault)));
    }
  }

  /** To be called when something was said: it may have changed what is shown of the warnings at once, and what is feared soon. */
  said(): void {
    if (this.#looked) this.#nextMs = this.#parts.clock.now().monoMs;
    this.changed();
  }

  /** Tells of it when the warnings are other ones, or say something else. */
  changed(): void {
    const shown = JSON.stringify(this.views());
    if (shown === this.#shown) return;
    this.#shown = shown;
    this.#parts.onChange();
  }
}
