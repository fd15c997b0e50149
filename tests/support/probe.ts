import { connectAsync, type IClientOptions, type MqttClient } from 'mqtt';
import type { Reachable } from './service.ts';

/** One SenML record: a temperature, at its own time unless that is left out. */
export function temperature(celsius: number, atMs?: number): { n: string; u: string; v: number; t?: number } {
  return { n: 'temperature', u: 'Cel', v: celsius, ...(atMs === undefined ? {} : { t: atMs / 1000 }) };
}

export function senmlTopic(probe: string, site = 'yard'): string {
  return `cure/${site}/probe/${probe}/senml`;
}

/** A connected client of the MQTT library that stays away once it is cut off. Rejects when it is not let in. */
export function mqttClient(service: Pick<Reachable, 'mqttPort'>, options: IClientOptions = {}): Promise<MqttClient> {
  return connectAsync(`mqtt://127.0.0.1:${service.mqttPort}`, { reconnectPeriod: 0, ...options }, false);
}

/** Publishes SenML records and resolves when they are acknowledged. */
export async function publishReadings(client: MqttClient, probe: string, records: readonly unknown[]): Promise<void> {
  await client.publishAsync(senmlTopic(probe), JSON.stringify(records), { qos: 1 });
}
