import { isUtf8 } from 'node:buffer';
import { CodedError, errorCodes } from '../errors.ts';
import { forecastFrom } from '../weather/document.ts';
import { type ForecastHours, type ReceivedForecast, toldOf } from '../weather/hours.ts';
import type { Outcome } from '../weather/programs.ts';
import { MESSAGE_BYTES_MOST } from './accept.ts';
import type { GroupCommit } from './groupCommit.ts';
import type { QuarantineReason } from './quantities.ts';

/** Puts a forecast on record. @throws CodedError where the site refuses it, or another Error where it cannot be kept. */
export type OnForecast = (hours: ForecastHours, source: string, speaker: string) => Promise<Outcome>;

/** What the site itself cannot do now, such as tell the time: whoever sent it had better keep it. */
const NOT_NOW_STATUS = 500;

export interface ForecastMessage {
  readonly topic: string;
  readonly payload: Uint8Array;
  /** Who sent it. */
  readonly speaker: string;
}

/**
 * Takes a forecast that came as a message. What cannot be used of it is set aside, and it is acknowledged all the same; a fault
 * of the site, such as a disk that failed or a clock that is not set, is no acknowledgement. Resolves when its `done` has its turn
 * among the other messages.
 */
export async function takeForecast(
  { topic, payload, speaker }: ForecastMessage,
  commit: GroupCommit,
  onForecast: OnForecast,
  done: (fault?: Error) => void,
): Promise<void> {
  const aside = (reason: QuarantineReason, detail: string) => commit.refused({ topic, reason, detail }, '', payload, done);
  let forecast: ReceivedForecast;
  let outcome: Outcome;
  try {
    forecast = readIn(payload, speaker);
    outcome = await onForecast(forecast.hours, forecast.source, speaker);
  } catch (fault) {
    if (fault instanceof CodedError && errorCodes[fault.code].status < NOT_NOW_STATUS) aside(reasonFor(fault), fault.message);
    else done(fault as Error);
    return;
  }
  const { rejected, rejectedTotal } = forecast;
  if (outcome !== 'taken' || rejectedTotal === 0) commit.nothing(done);
  else aside('malformed', `the other hours were taken, these were not: ${toldOf(rejected, rejectedTotal)}`);
}

function reasonFor({ code }: CodedError): QuarantineReason {
  if (code === 'too-many') return 'too-often';
  return code === 'too-large' ? 'too-large' : 'malformed';
}

function readIn(payload: Uint8Array, speaker: string): ReceivedForecast {
  if (payload.length > MESSAGE_BYTES_MOST)
    throw new CodedError('too-large', `${payload.length} bytes; send at most ${MESSAGE_BYTES_MOST} in one message`);
  if (!isUtf8(payload)) throw new CodedError('bad-entry', 'the payload is not UTF-8 text; send JSON');
  return forecastFrom(Buffer.from(payload.buffer, payload.byteOffset, payload.length).toString(), 'json', speaker);
}
