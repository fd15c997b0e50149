import { isUtf8 } from 'node:buffer';
import type { Now } from '../clock/clock.ts';
import type { Delivery } from '../ledger/ledger.ts';
import type { Quarantined } from '../ledger/quarantine.ts';
import type { Mapping } from '../site/mapping.ts';
import { applyMapping, type MappedRecords } from './mapping.ts';
import { QUANTITIES, type QuarantineReason, readingsOf, TIME_BASES } from './quantities.ts';
import { resolveSenml } from './senml.ts';
import { probeTopic } from './topics.ts';

/** A longer message is set aside: no probe's batch needs it, and reading it would hold everybody up. */
export const MESSAGE_BYTES_MOST = 64 * 1024;

/** An MQTT message with readings: under a probe's `senml` topic, or under one that people have mapped to the probe. */
export interface ProbeMessage {
  readonly probe: string;
  /** How it is read; left out for SenML under the probe's own topic. */
  readonly mapping?: Mapping | undefined;
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
  const { probe, mapping, payload, arrival } = message;
  const topic = mapping?.topic ?? probeTopic(site, probe, 'senml');
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
  if (!isUtf8(payload)) return refuse('malformed', 'the payload is not UTF-8 text; send JSON');
  const text = Buffer.from(payload.buffer, payload.byteOffset, payload.length).toString();
  const { records, faults } = mapping === undefined ? senmlRecords(text) : applyMapping(mapping, text);

  const { readings, refused } = readingsOf(records, arrival.wallMs, clockTrusted, message.repeated);
  if (faults.length > 0) refused.unshift({ reason: 'malformed', detail: faults.join('; ') });
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

function senmlRecords(text: string): MappedRecords {
  const pack = resolveSenml(text);
  return pack.ok ? { records: pack.records, faults: [] } : { records: [], faults: [pack.detail] };
}
