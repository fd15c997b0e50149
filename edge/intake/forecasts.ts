import { isUtf8 } from 'node:buffer';
import { CodedError } from '../errors.ts';
import { forecastFrom } from '../weather/document.ts';
import { type ForecastHours, type ReceivedForecast, toldOf } from '../weather/hours.ts';
import { MESSAGE_BYTES_MOST } from './accept.ts';
import type { GroupCommit } from './groupCommit.ts';

/** Puts a forecast on record. @throws CodedError where the site refuses it, or another Error where it cannot be kept. */
export type OnForecast = (hours: ForecastHours, source: string, speaker: string) => Promise<unknown>;

export interface ForecastMessage {
  readonly topic: string;
  readonly payload: Uint8Array;
  /** Who sent it. */
  readonly speaker: string;
}

/**
 * Takes a forecast that came as a message. What cannot be used of it is set aside, and it is acknowledged all the same; a storage
 * fault is no acknowledgement. Resolves when its `done` has its turn among the other messages.
 */
export async function takeForecast(
  { topic, payload, speaker }: ForecastMessage,
  commit: GroupCommit,
  onForecast: OnForecast,
  done: (fault?: Error) => void,
): Promise<void> {
  const aside = (detail: string) => commit.refused({ topic, reason: 'malformed', detail }, '', payload, done);
  let forecast: ReceivedForecast;
  try {
    forecast = readIn(payload, speaker);
    await onForecast(forecast.hours, forecast.source, speaker);
  } catch (fault) {
    if (fault instanceof CodedError && fault.code !== 'not-recording') aside(fault.message);
    else done(fault as Error);
    return;
  }
  if (forecast.rejected.length === 0) commit.nothing(done);
  else aside(`the other hours were taken, these were not: ${toldOf(forecast.rejected)}`);
}

function readIn(payload: Uint8Array, speaker: string): ReceivedForecast {
  if (payload.length > MESSAGE_BYTES_MOST)
    throw new CodedError('too-large', `${payload.length} bytes; send at most ${MESSAGE_BYTES_MOST} in one message`);
  if (!isUtf8(payload)) throw new CodedError('bad-entry', 'the payload is not UTF-8 text; send JSON');
  return forecastFrom(Buffer.from(payload.buffer, payload.byteOffset, payload.length).toString(), 'json', speaker);
}
