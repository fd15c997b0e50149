import { once } from 'node:events';
import { connect, type Socket } from 'node:net';
import mqtt, { type IConnectPacket, type IPublishPacket, type Packet } from 'mqtt-packet';

/**
 * An MQTT 3.1.1 connection with nothing between the test and the wire: it sends exactly what it is told, many packets in one
 * write if wished, and shows what came back in the order it came.
 */
export class Wire {
  readonly heard: Packet[] = [];
  readonly #socket: Socket;
  readonly #closed: Promise<unknown>;
  #arrived = Promise.withResolvers<void>();

  private constructor(socket: Socket) {
    this.#socket = socket;
    this.#closed = once(socket, 'close');
    const parser = mqtt.parser();
    parser.on('packet', (packet: Packet) => {
      this.heard.push(packet);
      this.#wake();
    });
    socket.on('data', (chunk: Buffer) => parser.parse(chunk));
    // How a connection ended, its close tells.
    socket.on('error', () => {});
    socket.on('close', () => this.#wake());
  }

  /** Opens a connection and sends CONNECT; the CONNACK is the first packet heard. */
  static async open(port: number, settings: Partial<IConnectPacket> & { clientId: string }): Promise<Wire> {
    const socket = connect(port, '127.0.0.1');
    socket.setNoDelay(true);
    await once(socket, 'connect');
    const wire = new Wire(socket);
    wire.send({ cmd: 'connect', protocolId: 'MQTT', protocolVersion: 4, clean: true, keepalive: 0, ...settings });
    await wire.until(() => wire.heard.length > 0);
    return wire;
  }

  /** All in one write. */
  send(...packets: Packet[]): void {
    this.#socket.write(Buffer.concat(packets.map((packet) => mqtt.generate(packet))));
  }

  /** Waits until `seen` holds, looking again whenever something arrives. Throws when the connection closes before it does. */
  async until(seen: () => boolean): Promise<void> {
    while (!seen()) {
      if (this.#socket.closed) throw new Error(`the connection closed after ${this.heard.map(({ cmd }) => cmd).join(', ')}`);
      await this.#arrived.promise;
    }
  }

  get isOpen(): boolean {
    return !this.#socket.closed && !this.#socket.destroyed;
  }

  async closed(): Promise<void> {
    await this.#closed;
  }

  /** Message ids of the acknowledgements so far, in their order. */
  acknowledged(): number[] {
    return this.heard.flatMap((packet) => (packet.cmd === 'puback' ? [packet.messageId ?? 0] : []));
  }

  cut(): void {
    this.#socket.destroy();
  }

  #wake(): void {
    this.#arrived.resolve();
    this.#arrived = Promise.withResolvers();
  }
}

export function publishPacket(topic: string, payload: string | Buffer, messageId: number, qos: 1 | 2 = 1): IPublishPacket {
  return { cmd: 'publish', topic, payload, qos, messageId, dup: false, retain: false };
}
