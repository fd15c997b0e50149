/** Most bytes behind the fixed header of a connection's first packet, its CONNECT: a will and the credentials fit many times over. */
export const FIRST_PACKET_BYTES_MOST = 64 * 1024;
/** The same for every later packet. A message too large to be taken still arrives whole up to here, and is set aside with its reason. */
export const PACKET_BYTES_MOST = 256 * 1024;

/** The remaining length takes four bytes at most, seven bits in each (MQTT 3.1.1 §2.2.3). */
const LENGTH_BYTES_MOST = 4;
const CONTINUES = 0x80;

/**
 * Watches the bytes of one MQTT connection for packets longer than are taken, by their headers alone: a length of 256 MB is
 * known before its bytes have arrived.
 */
export class PacketLimit {
  #most = FIRST_PACKET_BYTES_MOST;
  /** Bytes of the packet under way that are yet to come, once its length is known. */
  #rest = 0;
  /** How many bytes of the remaining length are read; −1 before the packet's first byte. */
  #lengthBytes = -1;
  #length = 0;

  /** Takes the next bytes, cut anywhere. Returns what is wrong with the packet that begins among them, or null. */
  faultIn(chunk: Uint8Array): string | null {
    let at = 0;
    while (at < chunk.length) {
      if (this.#rest > 0) {
        const skipped = Math.min(this.#rest, chunk.length - at);
        this.#rest -= skipped;
        at += skipped;
        continue;
      }
      const byte = chunk[at++] as number;
      if (this.#lengthBytes < 0) {
        this.#lengthBytes = 0;
        this.#length = 0;
        continue;
      }
      this.#length += (byte & ~CONTINUES) * 128 ** this.#lengthBytes++;
      if ((byte & CONTINUES) !== 0) {
        if (this.#lengthBytes < LENGTH_BYTES_MOST) continue;
        return 'a packet names a length of more than four bytes';
      }
      if (this.#length > this.#most) return `a packet of ${this.#length} bytes; at most ${this.#most} are taken here`;
      this.#most = PACKET_BYTES_MOST;
      this.#rest = this.#length;
      this.#lengthBytes = -1;
    }
    return null;
  }
}
