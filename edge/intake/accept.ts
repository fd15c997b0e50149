import { isUtf8 } from 'node:buffer';
import type { Clock } from '../clock/clock.ts';
import type { Delivery } from '../ledger/ledger.ts';
import type { Quarantined } from '../ledger/quarantine.ts';
import type { IncomingReading } from '../ledger/readings.ts';
import { QUANTITIES, type QuarantineReason, readingsOf, TIME_BASES } from './quantities.ts';
import { resolveSenml } from './senml.ts';

/** A longer message is set aside: no probe's batch needs it, and reading it would hold everybody up. */
export const MESSAGE_BYTES_MOST = 64 * 1024;

/** An MQTT message under a probe's `senml` topic. */
export interface ProbeMessage {
  readonly topic: string;
  readonly probe: string;
  readonly payload: Uint8Array;
  readonly retained: boolean;
}

/** What a message brings to the ledger. Never throws: whatever is wrong with it is set aside with the reason. */
export function acceptMessage(message: ProbeMessage, clock: Clock, boot: number): Delivery {
  const now = clock.now();
  const aside = (reason: QuarantineReason, detail: string) => setAside(message, message.probe, reason, detail, now.wallMs);
  if (message.retained)
    return {
      readings: [],
      setAside: [aside('retained', 'a retained message may be old; publish readings without the retain flag')],
    };
  if (message.payload.length > MESSAGE_BYTES_MOST) {
    const detail = `${message.payload.length} bytes; send at most ${MESSAGE_BYTES_MOST} in one message`;
    return { readings: [], setAside: [aside('too-large', detail)] };
  }
  if (!isUtf8(message.payload))
    return { readings: [], setAside: [aside('malformed', 'the payload is not UTF-8 text; send SenML JSON')] };

  const pack = resolveSenml(Buffer.from(message.payload.buffer, message.payload.byteOffset, message.payload.length).toString());
  if (!pack.ok) return { readings: [], setAside: [aside('malformed', pack.detail)] };
  const { readings, refused } = readingsOf(pack.records, now.wallMs, clock.trusted);
  return {
    readings: readings.map(
      ({ quantity, atMs, basis, value }): IncomingReading => ({
        probe: message.probe,
        quantity: QUANTITIES.indexOf(quantity),
        atMs,
        value,
        basis: TIME_BASES.indexOf(basis),
        arrivalMs: now.wallMs,
        monoMs: now.monoMs,
        boot,
      }),
    ),
    setAside: refused.map(({ reason, detail }) => aside(reason, detail)),
  };
}

/** A message for the quarantine. */
export function setAside(
  message: { readonly topic: string; readonly payload: Uint8Array },
  probe: string | null,
  reason: QuarantineReason,
  detail: string,
  atMs: number,
): Quarantined {
  return { atMs, topic: message.topic, probe, reason, detail, payload: message.payload, bytes: message.payload.length };
}
