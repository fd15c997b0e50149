import { setTimeout as sleep } from 'node:timers/promises';

import { connectAsync, type MqttClient } from 'mqtt';

import { type ProbeLeaf, probeTopic } from '../intake/topics.ts';
import { encodePack, PACK_SAMPLES_MAX, type Sample } from './pack.ts';

export interface ProbeSettings {
  readonly mqttUrl: string;
  readonly site: string;
  readonly probe: string;
  /** Base name of its SenML packs. */
  readonly baseName: string;
  /** Password; the user name is the probe's id. */
  readonly probeKey?: string | undefined;
}

/** Samples kept while they are not acknowledged: two days at one every 5 s. Beyond that the oldest go. */
const BACKLOG_MAX = 35_000;

/** How long a broker may take to answer a connection, ms. */
const CONNECT_MS = 8_000;

/** How long a probe waits before it tries again, ms. */
const RETRY_MS = 2_000;

/** How long the farewell may take before the connection is simply cut, ms. */
const FAREWELL_MS = 1_500;

/**
 * A simulated probe: an ordinary MQTT 3.1.1 client that does what firmware-notes asks of a real one. It keeps every sample until the
 * broker has acknowledged it, sends what it has kept as SenML packs, one at a time, and says through `status` whether it is there.
 */
export class Probe {
  /** Samples that the broker has acknowledged so far. */
  acknowledged = 0;
  readonly #client: MqttClient;
  readonly #settings: ProbeSettings;
  readonly #ending = new AbortController();
  /** One for each message that is on its way: lets its sender go on without an acknowledgement. */
  readonly #releases = new Set<() => void>();
  #backlog: Sample[] = [];
  #flushing: Promise<void> | null = null;
  #volts = 3.68;

  private constructor(settings: ProbeSettings, client: MqttClient) {
    this.#settings = settings;
    this.#client = client;
  }

  /** Throws an Error that says in plain words why the first connection failed. Later ones are tried again for ever. */
  static async connect(settings: ProbeSettings): Promise<Probe> {
    const { mqttUrl, site, probe: name, probeKey } = settings;
    const options = {
      clientId: `${site}-${name}`,
      username: name,
      ...(probeKey === undefined ? {} : { password: probeKey }),
      reconnectPeriod: RETRY_MS,
      connectTimeout: CONNECT_MS,
      will: { topic: probeTopic(site, name, 'status'), payload: Buffer.from('offline'), qos: 1 as const, retain: true },
    };
    const client = await connectAsync(mqttUrl, options, false).catch((error: unknown) => {
      // The address without what may stand before its host: that could be a password.
      throw new Error(`probe ${name} cannot connect to ${new URL(mqttUrl).host}: ${reasonOf(error)}`);
    });
    const probe = new Probe(settings, client);
    const announce = () => void probe.#publish('status', 'online').catch(() => undefined);
    client.on('connect', announce);
    announce();
    return probe;
  }

  get online(): boolean {
    return this.#client.connected;
  }

  /** Keeps a sample; `flush` sends it. */
  record(sample: Sample): void {
    this.#backlog.push(sample);
    if (this.#backlog.length > BACKLOG_MAX) this.#backlog.splice(0, this.#backlog.length - BACKLOG_MAX);
  }

  /** Sends everything kept, oldest first. Resolves once all of it is acknowledged, or once the probe has ended. */
  flush(): Promise<void> {
    this.#flushing ??= this.#sendAll().finally(() => {
      this.#flushing = null;
    });
    return this.#flushing;
  }

  /** Sends a payload as it is, for what a sound probe would never send. Resolves as `flush` does. */
  async sendRaw(payload: string): Promise<void> {
    await this.#publish('senml', payload);
  }

  /** Says goodbye and disconnects. What is not acknowledged by then is dropped. */
  async end(): Promise<void> {
    this.#ending.abort();
    let cut = !this.#client.connected;
    const releaseAll = () => {
      cut = true;
      for (const release of this.#releases) release();
    };
    if (cut) releaseAll();
    else {
      const patience = setTimeout(releaseAll, FAREWELL_MS);
      await Promise.allSettled([this.#flushing, this.#publish('status', 'offline')]);
      clearTimeout(patience);
    }
    await this.#client.endAsync(cut);
  }

  async #sendAll(): Promise<void> {
    const { signal } = this.#ending;
    while (this.#backlog.length > 0 && !signal.aborted) {
      const samples = this.#backlog.splice(0, PACK_SAMPLES_MAX);
      try {
        if (await this.#publish('senml', this.#encode(samples))) this.acknowledged += samples.length;
      } catch {
        // The client gave the message up, as it does when the connection breaks at a bad moment: the samples go back to the front.
        this.#backlog.unshift(...samples);
        await sleep(RETRY_MS, undefined, { signal }).catch(() => undefined);
      }
    }
  }

  /** A battery that does not tell its share with the samples tells its voltage with each full pack, and wears a little. */
  #encode(samples: readonly Sample[]): string {
    const { baseName } = this.#settings;
    const tellsShare = samples.some(({ batteryPercent }) => batteryPercent !== undefined);
    if (samples.length < PACK_SAMPLES_MAX || tellsShare) return encodePack(baseName, samples);
    this.#volts -= 0.001;
    return encodePack(baseName, samples, Number(this.#volts.toFixed(3)));
  }

  /**
   * Resolves to whether the broker has acknowledged it; false: it was let go of at the end. MQTT.js keeps a message without
   * acknowledgement over a lost connection and sends it again after the next one.
   */
  #publish(leaf: ProbeLeaf, payload: string): Promise<boolean> {
    const { site, probe } = this.#settings;
    return new Promise((resolve, reject) => {
      const letGo = () => resolve(false);
      this.#releases.add(letGo);
      this.#client.publish(probeTopic(site, probe, leaf), payload, { qos: 1, retain: leaf === 'status' }, (error) => {
        this.#releases.delete(letGo);
        if (error) reject(error);
        else resolve(true);
      });
    });
  }
}

/** Why a connection failed, for a person. */
function reasonOf(error: unknown): string {
  const { code, message } = error as { code?: string | number; message?: string };
  if (code === 4 || code === 5) return 'the broker refuses this user name and password';
  if (code === 'ECONNREFUSED') return 'nothing listens there';
  if (code === 'ENOTFOUND' || code === 'EAI_AGAIN') return 'no such host';
  // What MQTT.js says when the connection closes, or stays silent, before the broker's answer.
  if (message === "Couldn't connect to server" || message === 'connack timeout')
    return 'what listens there does not answer as an MQTT broker';
  return message || String(code ?? error);
}
