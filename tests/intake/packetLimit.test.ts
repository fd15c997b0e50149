import fc from 'fast-check';
import mqtt from 'mqtt-packet';
import { describe, expect, test } from 'vitest';
import { FIRST_PACKET_BYTES_MOST, PACKET_BYTES_MOST, PacketLimit } from '../../edge/intake/packetLimit.ts';

/** Remaining length as MQTT 3.1.1 §2.2.3 encodes it. */
function lengthBytes(length: number): number[] {
  return length < 128 ? [length] : [(length % 128) | 128, ...lengthBytes(Math.floor(length / 128))];
}

function packet(length: number, kind = 0x30): Buffer {
  return Buffer.concat([Buffer.from([kind, ...lengthBytes(length)]), Buffer.alloc(length, 0xff)]);
}

/** The first fault in bytes that arrive in pieces. */
function faultOf(pieces: readonly Uint8Array[]): string | null {
  const limit = new PacketLimit();
  for (const piece of pieces) {
    const fault = limit.faultIn(piece);
    if (fault !== null) return fault;
  }
  return null;
}

const connect = mqtt.generate({
  cmd: 'connect',
  protocolId: 'MQTT',
  protocolVersion: 4,
  clean: true,
  clientId: 'c',
  keepalive: 0,
});

describe('the length of packets', () => {
  test.each([0, 1, 127, 128, 16_383, 16_384, FIRST_PACKET_BYTES_MOST - 1, FIRST_PACKET_BYTES_MOST])(
    'of %i is taken first, and again after it',
    (length) => {
      expect(faultOf([packet(length, 0x10), packet(length), connect, packet(length)])).toBeNull();
    },
  );

  test('is bounded more narrowly for the first packet than for the next ones', () => {
    expect(faultOf([packet(FIRST_PACKET_BYTES_MOST + 1, 0x10)])).toBe('a packet of 65537 bytes; at most 65536 are taken here');
    expect(faultOf([connect, packet(FIRST_PACKET_BYTES_MOST + 1), packet(PACKET_BYTES_MOST), connect])).toBeNull();
    expect(faultOf([connect, packet(PACKET_BYTES_MOST), packet(PACKET_BYTES_MOST + 1)])).toBe(
      'a packet of 262145 bytes; at most 262144 are taken here',
    );
  });

  // Table 2.4 of MQTT 3.1.1: the largest length of four bytes.
  test.each([
    ['first', []],
    ['later', [connect]],
  ])('is known from its header alone: the %s packet', (_, before) => {
    const header = Buffer.from([0x30, 0xff, 0xff, 0xff, 0x7f]);
    expect(faultOf([...before, header.subarray(0, 4)])).toBeNull();
    expect(faultOf([...before, header])).toMatch(/^a packet of 268435455 bytes/);
  });

  test('of more than four bytes is none', () => {
    expect(faultOf([Buffer.from([0x10, 0x80, 0x80, 0x80])])).toBeNull();
    expect(faultOf([Buffer.from([0x10, 0x80, 0x80, 0x80, 0x80])])).toBe('a packet names a length of more than four bytes');
  });

  test('is found wherever the bytes are cut', () => {
    const lengths = fc.array(fc.oneof(fc.integer({ min: 0, max: 300 }), fc.constantFrom(16_383, 16_384, 70_000)), {
      maxLength: 6,
    });
    fc.assert(
      fc.property(
        lengths,
        fc.array(fc.integer({ min: 1, max: 5000 }), { minLength: 1, maxLength: 8 }),
        fc.boolean(),
        (all, cuts, bad) => {
          const bytes = Buffer.concat([
            connect,
            ...all.map((length) => packet(length)),
            ...(bad ? [packet(PACKET_BYTES_MOST + 1)] : []),
          ]);
          const pieces: Buffer[] = [];
          for (let at = 0, cut = 0; at < bytes.length; cut++) {
            const size = cuts[cut % cuts.length] ?? 1;
            pieces.push(bytes.subarray(at, at + size));
            at += size;
          }
          expect(faultOf(pieces)).toBe(bad ? 'a packet of 262145 bytes; at most 262144 are taken here' : null);
        },
      ),
    );
  });

  test('is found byte by byte', () => {
    const bytes = [...connect, ...packet(0), ...packet(200), 0x30, ...lengthBytes(PACKET_BYTES_MOST + 1)];
    const limit = new PacketLimit();
    const faults = bytes.map((byte) => limit.faultIn(Uint8Array.of(byte)));
    expect(faults.slice(0, -1).every((fault) => fault === null)).toBe(true);
    expect(faults.at(-1)).toMatch(/^a packet of 262145 bytes/);
  });
});
