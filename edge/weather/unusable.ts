import { CodedError, type FaultAt } from '../errors.ts';

/** A forecast that cannot be used, told to whoever sent it. */
export class UnusableForecast extends CodedError {
  /** Why, without a word of what stands in it: for answers, which may repeat the key that they were asked with. */
  readonly plain: string;

  constructor(code: 'bad-entry' | 'too-large', detail: string, plain: string, faults: readonly FaultAt[] = []) {
    super(code, detail, faults);
    this.plain = plain;
  }
}
