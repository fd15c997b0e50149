import { isUtf8 } from 'node:buffer';
import type { Now } from '../clock/clock.ts';
import type { Delivery } from '../ledger/ledger.ts';
import type { Quarantined } from '../ledger/quarantine.ts';
import { QUANTITIES, type QuarantineReason, readingsOf, TIME_BASES } from './quantities.ts';
import { resolveSenml } from './senml.ts';
import { probeTopic } from './topics.ts';

/** A longer message is set aside: no probe's batch needs it, and reading it would hold everybody up. */
export const MESSAGE_BYTES_MOST = 64 * 1024;

/** An MQTT message under a probe's `senml` topic. */
export interface ProbeMessage {
  readonly probe: string;
  /** Perhaps cut, if longer than `MESSAGE_BYTES_MOST`. */
  readonly payload: Uint8Array;
  /** Length before the cut. */
  readonly bytes: number;
  readonly retained: boolean;
  /** Sent once before, at a time that nobody knows any more. */
  readonly repeated: boolean;
  readonly arrival: Now;
}

export interface Surroundings {
  readonly site: string;
  /** Number of this run of the program; see the entry `boot.started`. */
  readonly boot: number;
  readonly clockTrusted: boolean;
}

/** What a message brings to the ledger. Never throws: whatever is wrong with it is set aside with the reason. */
export function acceptMessage(message: ProbeMessage, { site, boot, clockTrusted }: Surroundings): Delivery {
  const { probe, payload, arrival } = message;
  const topic = probeTopic(site, probe, 'senml');
  const aside = (reason: QuarantineReason, detail: string): Quarantined => ({
    atMs: arrival.wallMs,
    topic,
    probe,
    reason,
    detail,
    payload,
    bytes: message.bytes,
  });
  const refuse = (reason: QuarantineReason, detail: string): Delivery => ({
    topic,
    readings: [],
    setAside: [aside(reason, detail)],
  });

  if (message.retained) return refuse('retained', 'a retained message may be old; publish readings without the retain flag');
  if (message.bytes > MESSAGE_BYTES_MOST)
    return refuse('too-large', `${message.bytes} bytes; send at most ${MESSAGE_BYTES_MOST} in one message`);
  if (!isUtf8(payload)) return refuse('malformed', 'the payload is not UTF-8 text; send SenML JSON');
  const pack = resolveSenml(Buffer.from(payload.buffer, payload.byteOffset, payload.length).toString());
  if (!pack.ok) return refuse('malformed', pack.detail);

  const { readings, refused } = readingsOf(pack.records, arrival.wallMs, clockTrusted, message.repeated);
  return {
    topic,
    readings: readings.map(({ quantity, atMs, basis, value }) => ({
      probe,
      quantity: QUANTITIES.indexOf(quantity),
      atMs,
      value,
      basis: TIME_BASES.indexOf(basis),
      arrivalMs: arrival.wallMs,
      monoMs: arrival.monoMs,
      boot,
    })),
    // The message is kept once, with the first of its faults.
    setAside: refused.map(({ reason, detail }, index) => ({
      ...aside(reason, detail),
      ...(index > 0 ? { payload: new Uint8Array(0) } : {}),
    })),
  };
}
