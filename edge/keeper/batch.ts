import type { Now } from '../clock/clock.ts';
import { acceptMessage, MESSAGE_BYTES_MOST } from '../intake/accept.ts';
import type { QuarantineReason } from '../intake/quantities.ts';
import type { Delivery } from '../ledger/ledger.ts';
import type { Mapping } from '../site/mapping.ts';

/** What is to be done with a message. The place in this list is its code in a batch. */
export const MESSAGE_KINDS = ['readings', 'retained', 'repeated', 'mapped', 'refused', 'nothing'] as const;
export type MessageKind = (typeof MESSAGE_KINDS)[number];
/** How a message under a probe's `senml` topic came: new, kept by another broker, or sent once before. */
export type SenmlKind = Extract<MessageKind, 'readings' | 'retained' | 'repeated'>;

/** A message of another device, with the mappings of its topic that were in force when it came: one a probe. */
export interface MappedMessage {
  readonly mappings: readonly Mapping[];
  readonly retained: boolean;
  readonly repeated: boolean;
}

/** What the broker itself sets aside, and why. */
export interface Refusal {
  readonly topic: string;
  readonly reason: QuarantineReason;
  readonly detail: string;
}

/** Messages as columns, so that handing them to another thread costs next to nothing. Row i is the i-th message. */
export interface MessageBatch {
  /** Names of probes; `probe` points into it. */
  readonly names: readonly string[];
  readonly probe: Uint32Array;
  readonly kind: Uint8Array;
  /** All payloads, end to end; a longer one than is taken is cut, one byte over. */
  readonly bytes: Uint8Array;
  /** Where each payload ends in `bytes`. */
  readonly end: Uint32Array;
  /** Its length before the cut. */
  readonly size: Uint32Array;
  /** Both clocks at arrival, ms. */
  readonly wallMs: Float64Array;
  readonly monoMs: Float64Array;
  /** Of mapped messages, by row. */
  readonly mapped: ReadonlyMap<number, MappedMessage>;
  /** Of refused messages, by row. */
  readonly refusals: ReadonlyMap<number, Refusal>;
  readonly clockTrusted: boolean;
}

/** Gathers messages into a batch. */
export class BatchBuilder {
  readonly #names = new Map<string, number>();
  readonly #probe: number[] = [];
  readonly #kind: number[] = [];
  readonly #payloads: Uint8Array[] = [];
  readonly #wallMs: number[] = [];
  readonly #monoMs: number[] = [];
  readonly #mapped = new Map<number, MappedMessage>();
  readonly #refusals = new Map<number, Refusal>();

  get count(): number {
    return this.#probe.length;
  }

  add(kind: MessageKind, probe: string, payload: Uint8Array, now: Now): void {
    let name = this.#names.get(probe);
    if (name === undefined) {
      name = this.#names.size;
      this.#names.set(probe, name);
    }
    this.#probe.push(name);
    this.#kind.push(MESSAGE_KINDS.indexOf(kind));
    this.#payloads.push(payload);
    this.#wallMs.push(now.wallMs);
    this.#monoMs.push(now.monoMs);
  }

  /** A message under a topic that is mapped to one probe or more. */
  addMapped(message: MappedMessage, payload: Uint8Array, now: Now): void {
    this.#mapped.set(this.count, message);
    this.add('mapped', '', payload, now);
  }

  /** A message under a topic where it has no business; `probe` is empty where the topic names none. */
  addRefused(refusal: Refusal, probe: string, payload: Uint8Array, now: Now): void {
    this.#refusals.set(this.count, refusal);
    this.add('refused', probe, payload, now);
  }

  pack(clockTrusted: boolean): MessageBatch {
    const kept = this.#payloads.map((payload) => payload.subarray(0, MESSAGE_BYTES_MOST + 1));
    const end = new Uint32Array(kept.length);
    let total = 0;
    for (let row = 0; row < kept.length; row++) {
      total += (kept[row] as Uint8Array).length;
      end[row] = total;
    }
    const bytes = new Uint8Array(total);
    for (let row = 0; row < kept.length; row++) bytes.set(kept[row] as Uint8Array, row === 0 ? 0 : end[row - 1]);
    return {
      names: [...this.#names.keys()],
      probe: Uint32Array.from(this.#probe),
      kind: Uint8Array.from(this.#kind),
      bytes,
      end,
      size: Uint32Array.from(this.#payloads, (payload) => payload.length),
      wallMs: Float64Array.from(this.#wallMs),
      monoMs: Float64Array.from(this.#monoMs),
      mapped: this.#mapped,
      refusals: this.#refusals,
      clockTrusted,
    };
  }
}

/** The deliveries of a batch, row by row. */
export function deliveriesOf(batch: MessageBatch, site: string, boot: number): Delivery[] {
  const deliveries: Delivery[] = [];
  for (let row = 0; row < batch.probe.length; row++) {
    const kind = MESSAGE_KINDS[batch.kind[row] as number];
    if (kind === 'nothing') continue;
    const payload = batch.bytes.subarray(row === 0 ? 0 : batch.end[row - 1], batch.end[row]);
    const probe = batch.names[batch.probe[row] as number] as string;
    const bytes = batch.size[row] as number;
    const arrival = { wallMs: batch.wallMs[row] as number, monoMs: batch.monoMs[row] as number };
    const refusal = batch.refusals.get(row);
    if (refusal !== undefined) {
      const item = { ...refusal, atMs: arrival.wallMs, probe: probe === '' ? null : probe, payload, bytes };
      deliveries.push({ topic: refusal.topic, readings: [], setAside: [item] });
      continue;
    }
    const surroundings = { site, boot, clockTrusted: batch.clockTrusted };
    const mapped = kind === 'mapped' ? batch.mapped.get(row) : undefined;
    if (mapped !== undefined) {
      const { mappings, retained, repeated } = mapped;
      for (const mapping of mappings)
        deliveries.push(
          acceptMessage({ probe: mapping.probe, mapping, payload, bytes, retained, repeated, arrival }, surroundings),
        );
      continue;
    }
    const message = { probe, payload, bytes, retained: kind === 'retained', repeated: kind === 'repeated', arrival };
    deliveries.push(acceptMessage(message, surroundings));
  }
  return deliveries;
}

/** The readings of a batch that were new, as columns in the order they were taken. */
export interface TakenColumns {
  readonly names: readonly string[];
  /** Points into `names`. */
  readonly probe: Uint32Array;
  /** Index into `QUANTITIES`. */
  readonly quantity: Uint8Array;
  readonly atMs: Float64Array;
  /** As stored: thousandths of the unit, micrometres of a level. */
  readonly value: Int32Array;
  /** Number of readings ever taken, these included. */
  readonly taken: number;
}

/** The sources of readings from before `beforeMs`, each with the oldest instant of it. */
export function sourcesBefore({ names, probe, atMs }: TakenColumns, beforeMs: number): Map<string, number> {
  const sources = new Map<string, number>();
  for (let row = 0; row < probe.length; row++) {
    const ms = atMs[row] as number;
    if (ms >= beforeMs) continue;
    const source = names[probe[row] as number] as string;
    sources.set(source, Math.min(ms, sources.get(source) ?? ms));
  }
  return sources;
}

/** Columns of single readings. */
export function columnsOf(
  readings: readonly { readonly probe: string; readonly quantity: number; readonly atMs: number; readonly value: number }[],
  taken: number,
): TakenColumns {
  const names = new Map<string, number>();
  const probe = new Uint32Array(readings.length);
  readings.forEach((reading, row) => {
    let name = names.get(reading.probe);
    if (name === undefined) {
      name = names.size;
      names.set(reading.probe, name);
    }
    probe[row] = name;
  });
  return {
    names: [...names.keys()],
    probe,
    quantity: Uint8Array.from(readings, (reading) => reading.quantity),
    atMs: Float64Array.from(readings, (reading) => reading.atMs),
    value: Int32Array.from(readings, (reading) => reading.value),
    taken,
  };
}
