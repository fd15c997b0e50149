// Acknowledged durable readings a second, beside the same broker storing nothing, in turn and under the same load.
import { spawnService } from '../support/service.ts';
import { startChild } from './child.ts';
import { median, print } from './table.ts';

const CLIENTS = 8;
const READINGS_EACH = 40_000;
const IN_FLIGHT = 500;
const ROUNDS = 5;
const SITE = 'yard';

async function perSecond(mqttPort: number): Promise<number> {
  const load = await startChild<{ acknowledged: number; seconds: number }>(
    'load.ts',
    mqttPort,
    SITE,
    CLIENTS,
    READINGS_EACH,
    IN_FLIGHT,
  );
  await load.stop();
  return load.said.acknowledged / load.said.seconds;
}

async function keeping(): Promise<number> {
  await using service = await spawnService();
  return await perSecond(service.mqttPort);
}

async function storingNothing(): Promise<number> {
  const broker = await startChild<{ mqttPort: number }>('nothing.ts');
  try {
    return await perSecond(broker.said.mqttPort);
  } finally {
    await broker.stop();
  }
}

export async function durable(): Promise<void> {
  const kept: number[] = [];
  const nothing: number[] = [];
  for (let round = 0; round < ROUNDS; round++) {
    nothing.push(await storingNothing());
    kept.push(await keeping());
  }
  const ratio = median(kept.map((value, round) => value / (nothing[round] as number)));
  const thousands = (value: number) => `${(value / 1000).toFixed(1)} k/s`;
  print({
    what: `durable QoS 1 readings acknowledged, ${CLIENTS} clients, median of ${ROUNDS}`,
    figure: thousands(median(kept)),
  });
  print({ what: '  the same broker storing nothing', figure: thousands(median(nothing)) });
  print({ what: '  ratio, pair by pair', figure: ratio.toFixed(2), goal: { text: '≥ 0.8', met: ratio >= 0.8 } });
}
