import { timingSafeEqual } from 'node:crypto';
import { createServer, type Server, type Socket } from 'node:net';
import { Aedes, type AedesPublishPacket, type AuthenticateError, type Client, type PublishPacket } from 'aedes';
import type { Mapping } from '../site/mapping.ts';
import { type OnForecast, takeForecast } from './forecasts.ts';
import type { GroupCommit } from './groupCommit.ts';
import { PacketLimit } from './packetLimit.ts';
import type { QuarantineReason } from './quantities.ts';
import { seldom } from './seldom.ts';
import { forecastTopic, parseProbeTopic } from './topics.ts';
import { Turns } from './turns.ts';

/** MQTT 3.1.1 §3.2.2.3: return code "bad user name or password". */
const BAD_USER_NAME_OR_PASSWORD = 4;
/** Packets a client may send before its connection is accepted. */
const EARLY_PACKETS_MOST = 1_000;
/** Connections at a time. Beyond, a new one is closed at once. */
const CONNECTIONS_MOST = 500;
/** Probes whose presence is kept. Beyond, that of others is set aside. */
const PRESENCES_MOST = 2_000;
/** A subscriber that reads nothing for so long is cut off: meanwhile nobody else hears anything. */
const FROZEN_MS = 5_000;
const NAME_LENGTH_MOST = 120;
/** Where messages go that nobody may hear. */
const NOWHERE = 'refused';

export interface BrokerOptions {
  readonly host: string;
  readonly port: number;
  readonly site: string;
  readonly commit: GroupCommit;
  /** The site's probe key; null takes everybody (loopback only). */
  readonly probeKey: string | null;
  /** How a topic that is none of a probe's own is read, for each probe that it serves; where none is, its messages are set aside. */
  readonly mappingsOf: (topic: string) => readonly Mapping[] | undefined;
  readonly onStatus: (probe: string, online: boolean) => void;
  /** Left out: forecasts have no topic. */
  readonly onForecast?: OnForecast;
  readonly onFault: (fault: Error) => void;
}

/** The MQTT 3.1.1 broker inside the program. */
export interface Broker {
  readonly port: number;
  /** Publishes a retained message of the program's own. */
  announce(topic: string, payload: string): void;
  close(): Promise<void>;
}

/**
 * Starts the broker. Every PUBACK waits, in order, for the commit of its message: aedes acknowledges only after
 * `authorizePublish` calls back, and the group commit calls back in the order of arrival. A message that cannot be believed is
 * committed to the quarantine and then acknowledged, because a device would otherwise send it for ever; a storage fault closes
 * the connection without a PUBACK, so that the device keeps its readings.
 */
export async function startBroker(options: BrokerOptions): Promise<Broker> {
  const { site, commit, probeKey } = options;
  const forecasts = forecastTopic(site);
  const speakers = new WeakMap<Client, string>();
  const faults = seldom(options.onFault);
  /** Probes that have told of their presence since the start. */
  const present = new Set<string>();
  /** Whether anybody has ever subscribed to more than states. */
  let overheard = false;

  const stateTopics = ['joint', 'sump', 'warning'].map((what) => `cure/${site}/${what}/`);
  /** A forecast is on its way to the record for longer than what its sender says next. */
  const turns = new Turns<Client>();

  /** Takes one message, or sets it aside; `done` acknowledges it. */
  const take = (
    client: Client | null,
    packet: PublishPacket,
    isWill: boolean,
    done: (fault?: Error | null) => void,
  ): void | Promise<void> => {
    const payload = typeof packet.payload === 'string' ? Buffer.from(packet.payload) : packet.payload;
    const to = parseProbeTopic(packet.topic, site);
    const mappings = to === null ? options.mappingsOf(packet.topic) : undefined;
    const probe = to?.probe ?? mappings?.[0]?.probe;
    const hide = () => {
      packet.topic = NOWHERE;
      packet.retain = false;
    };
    const refuse = (detail: string, reason: QuarantineReason = 'wrong-topic') => {
      commit.refused({ topic: packet.topic, reason, detail }, probe ?? '', payload, done);
      hide();
    };
    const speaker = client === null ? undefined : speakers.get(client);
    if (packet.topic === forecasts && options.onForecast !== undefined) {
      if (isWill) return refuse('a last will is as old as its connection, so it is no forecast');
      const message = { topic: forecasts, payload, speaker: speakerName(speaker ?? client?.id) };
      hide();
      return takeForecast(message, commit, options.onForecast, done);
    }
    if (probe === undefined)
      return refuse(
        `readings go to cure/${site}/probe/PROBE/senml, presence to …/status, forecasts to ${forecasts}; any other topic needs a mapping`,
      );
    if (speaker !== undefined && speaker !== probe && !mappings?.some((mapping) => mapping.probe === speaker))
      return refuse(`signed in as "${speaker}", which may speak only under its own name, not as "${probe}"`);
    if (isWill && to?.leaf !== 'status')
      return refuse('a last will is as old as its connection, so it is no reading; it says on …/status that the probe is gone');
    if (mappings !== undefined) {
      commit.mapped({ mappings, retained: packet.retain, repeated: packet.dup }, payload, done);
      return hide();
    }
    if (to?.leaf === 'status') {
      const said = payload.toString();
      if (said !== 'online' && said !== 'offline')
        return refuse('a probe is "online" or "offline", and says no more', 'malformed');
      if (!present.has(to.probe) && present.size >= PRESENCES_MOST)
        return refuse(`the presence of ${PRESENCES_MOST} probes is kept already; readings are taken all the same`);
      present.add(to.probe);
      options.onStatus(to.probe, said === 'online');
      commit.nothing(done);
      return;
    }
    // A retained message is old whether it is repeated or not.
    commit.readings(packet.retain ? 'retained' : packet.dup ? 'repeated' : 'readings', probe, payload, done);
    packet.retain = false;
  };

  const broker = await Aedes.createBroker({
    queueLimit: EARLY_PACKETS_MOST,
    drainTimeout: FROZEN_MS,

    authenticate(client, username, password, done) {
      if (probeKey === null) return done(null, true);
      if (username !== undefined && password !== undefined && sameSecret(password, probeKey)) {
        speakers.set(client, username);
        return done(null, true);
      }
      const refusal = new Error(
        'user name and password are needed: the probe id and the probe key of the site',
      ) as AuthenticateError;
      refusal.returnCode = BAD_USER_NAME_OR_PASSWORD;
      done(refusal, null);
    },

    authorizePublish(client, packet, done) {
      // aedes hands a last will in by the client that left it, or by none.
      const isWill = client === null || (client as { will?: unknown }).will === packet;
      if (client === null) take(client, packet, isWill, done);
      else turns.take(client, () => take(client, packet, isWill, done));
    },

    authorizeSubscribe(_client, subscription, done) {
      const toStates = stateTopics.some((start) => subscription.topic.startsWith(start));
      // With a probe key in force, lamps and other systems may read states; nobody reads the probes' own messages.
      if (probeKey !== null && !toStates) return done(null, null);
      if (!toStates) overheard = true;
      done(null, subscription);
    },
  });

  // Looking for subscribers costs aedes more than all the rest of a reading's way, and nearly always nobody listens.
  const publish = broker.publish.bind(broker);
  broker.publish = (packet: AedesPublishPacket, ...rest: unknown[]) => {
    const done = rest.at(-1) as (fault?: Error) => void;
    if (packet.topic === NOWHERE || (!overheard && packet.topic.endsWith('/senml'))) return done();
    (publish as (...all: unknown[]) => void)(packet, ...rest);
  };

  // A fault is told once for each connection, not for every message that waits on it.
  const told = new WeakSet<Client>();
  const tell = (client: Client, fault: Error) => {
    if (told.has(client)) return;
    told.add(client);
    faults.tell(fault);
  };
  broker.on('clientError', tell);
  broker.on('connectionError', tell);

  const sockets = new Set<Socket>();
  const server = createServer((socket) => {
    sockets.add(socket);
    socket.setNoDelay(true);
    socket.on('close', () => sockets.delete(socket));
    broker.handle(socket);
    // aedes reads in paused mode, and each chunk passes here before aedes gets it.
    const limit = new PacketLimit();
    socket.on('data', (chunk: Buffer) => {
      const fault = limit.faultIn(chunk);
      if (fault !== null) socket.destroy(new Error(fault));
    });
  });
  server.maxConnections = CONNECTIONS_MOST;
  server.on('drop', () => faults.tell(new Error(`${CONNECTIONS_MOST} connections are open; another one was turned away`)));
  await listening(server, options.host, options.port).catch((fault: unknown) => {
    broker.close();
    throw fault;
  });
  // Such as running out of file descriptors: who is connected stays so.
  server.on('error', faults.tell);
  const address = server.address();
  return {
    port: typeof address === 'object' && address !== null ? address.port : options.port,
    announce(topic, payload) {
      const packet: AedesPublishPacket = {
        cmd: 'publish',
        topic,
        payload: Buffer.from(payload),
        qos: 0,
        retain: true,
        dup: false,
      } as AedesPublishPacket;
      broker.publish(packet, () => {});
    },
    async close() {
      const closed = new Promise<void>((resolve) => server.close(() => resolve()));
      await new Promise<void>((resolve) => broker.close(() => resolve()));
      for (const socket of sockets) socket.destroy();
      await closed;
      await turns.quiet();
      faults.stop();
    },
  };
}

/** As an entry names somebody. */
function speakerName(name: string | undefined): string {
  return `mqtt ${name ?? ''}`.slice(0, NAME_LENGTH_MOST).toWellFormed();
}

function sameSecret(given: Buffer, expected: string): boolean {
  const wanted = Buffer.from(expected);
  return wanted.length > 0 && given.length === wanted.length && timingSafeEqual(given, wanted);
}

function listening(server: Server, host: string, port: number): Promise<void> {
  return new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen(port, host, () => {
      server.off('error', reject);
      resolve();
    });
  });
}
