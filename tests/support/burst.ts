import { join } from 'node:path';
import type { MqttClient } from 'mqtt';
import { readingsBetween } from './ledgerCheck.ts';
import { mqttClient, senmlTopic, temperature } from './probe.ts';
import { spawnService } from './service.ts';

export interface BurstPlan {
  readonly dataFolder: string;
  readonly clients: number;
  /** In all, each round. */
  readonly readings: number;
  readonly rounds: number;
  /** Messages that one client has under way at a time. */
  readonly inFlightMost?: number;
}

export interface BurstRound {
  readonly round: number;
  /** The service was killed once it had acknowledged so many. */
  readonly killAt: number;
  /** How many were acknowledged before the service was gone. */
  readonly acknowledged: number;
  /** Acknowledged, but not there after the restart. */
  readonly lost: number;
  /** Not acknowledged, but kept all the same: allowed, and dealt with when they are sent again. */
  readonly keptUnasked: number;
  /** Sent again after the restart, and then still not there, or there with another value or a second time. */
  readonly wrongInTheEnd: number;
}

/** Neighbouring readings of a client: so close that they fill few hours, so far apart that hours get sealed between rounds. */
const STEP_MS = 100;

/** One reading that a client owes. */
interface Owed {
  readonly probe: string;
  readonly atMs: number;
  readonly milliC: number;
}

/**
 * Kills a service with no warning while clients burst readings of QoS 1 at it, starts it again on the same folder, compares what
 * is there with what was acknowledged, and lets the clients send the rest again, as probes do. Round after round on one ledger.
 */
export async function burstRounds(plan: BurstPlan): Promise<BurstRound[]> {
  const each = Math.ceil(plan.readings / plan.clients);
  const firstMs = Math.floor(Date.now() / 3_600_000 - 24) * 3_600_000 - plan.rounds * each * STEP_MS;
  const done: BurstRound[] = [];
  for (let round = 0; round < plan.rounds; round++) {
    const fromMs = firstMs + round * each * STEP_MS;
    const owed = Array.from({ length: plan.clients }, (_, client) => readingsOf(client, round, each, fromMs));
    done.push(await burstRound(plan, round, owed, fromMs, fromMs + each * STEP_MS));
  }
  return done;
}

function readingsOf(client: number, round: number, count: number, fromMs: number): Owed[] {
  return Array.from({ length: count }, (_, index) => ({
    probe: `burst-${client + 1}`,
    atMs: fromMs + index * STEP_MS,
    milliC: Math.round(((index * 7 + client * 13 + round * 31) % 640) * 62.5) - 10_000,
  }));
}

async function burstRound(
  { dataFolder, readings, inFlightMost = 500 }: BurstPlan,
  round: number,
  owed: Owed[][],
  fromMs: number,
  untilMs: number,
): Promise<BurstRound> {
  const file = join(dataFolder, 'ledger.db');
  const killAt = Math.floor(Math.random() * (readings + 1));
  const acknowledged = new Set<Owed>();
  {
    await using service = await spawnService({ dataFolder });
    const killed = Promise.withResolvers<void>();
    const count = (reading: Owed) => {
      acknowledged.add(reading);
      if (acknowledged.size === killAt) killed.resolve(service.kill());
    };
    if (killAt === 0) killed.resolve(service.kill());
    await Promise.all([killed.promise, ...owed.map((own) => send(service, own, inFlightMost, count))]);
  }
  const all = owed.flat();
  const kept = keptAmong(all, file, fromMs, untilMs);
  const lost = [...acknowledged].filter((reading) => !kept.has(reading)).length;
  {
    await using service = await spawnService({ dataFolder });
    const rest = owed.map((own) => own.filter((reading) => !acknowledged.has(reading)));
    const again = new Set<Owed>();
    await Promise.all(rest.map((own) => send(service, own, inFlightMost, (reading) => again.add(reading))));
    if (again.size !== all.length - acknowledged.size) throw new Error('the restarted service did not acknowledge everything');
    const code = await service.stop();
    if (code !== 0) throw new Error(`the restarted service ended with ${code}: ${service.err()}`);
  }
  const inTheEnd = keptAmong(all, file, fromMs, untilMs);
  return {
    round,
    killAt,
    acknowledged: acknowledged.size,
    lost,
    keptUnasked: kept.size - (acknowledged.size - lost),
    wrongInTheEnd: all.length - inTheEnd.size,
  };
}

/** Which of `owed` are in the ledger, once and with the right value. Throws for any that nobody sent or that is there twice. */
function keptAmong(owed: readonly Owed[], file: string, fromMs: number, untilMs: number): Set<Owed> {
  const found = readingsBetween(file, fromMs, untilMs);
  const kept = owed.filter(({ probe, atMs, milliC }) => found.get(`0/${probe}`)?.get(atMs)?.value === milliC);
  const total = [...found.values()].reduce((sum, own) => sum + own.size, 0);
  if (total !== kept.length) throw new Error(`${total} readings are in the ledger, but only ${kept.length} of them were sent`);
  return new Set(kept);
}

/** Publishes readings, many at a time, until all are acknowledged or the connection is gone. */
async function send(
  service: { readonly mqttPort: number },
  readings: readonly Owed[],
  inFlightMost: number,
  onAcknowledged: (reading: Owed) => void,
): Promise<void> {
  let client: MqttClient;
  try {
    client = await mqttClient(service, { keepalive: 0 });
  } catch {
    // Killed before this client was let in: it has got nothing acknowledged.
    return;
  }
  // A connection that breaks is what this is about.
  client.on('error', () => {});
  await new Promise<void>((resolve) => {
    let sent = 0;
    let answered = 0;
    const more = () => {
      if (answered === readings.length) resolve();
      while (sent < readings.length && sent - answered < inFlightMost) {
        const reading = readings[sent++] as Owed;
        const pack = JSON.stringify([temperature(reading.milliC / 1000, reading.atMs)]);
        client.publish(senmlTopic(reading.probe), pack, { qos: 1 }, (fault) => {
          if (fault) return;
          answered++;
          onAcknowledged(reading);
          more();
        });
      }
    };
    client.on('close', () => resolve());
    more();
  });
  await client.endAsync(true);
}
