import { join } from 'node:path';
import { expect, test } from 'vitest';
import { burstRounds } from '../support/burst.ts';
import { checkLedger } from '../support/ledgerCheck.ts';
import { tempFolder } from '../support/service.ts';

const CLIENTS = 8;
const READINGS = 5_000;
const ROUNDS = 3;

test('a service that is killed in the middle of a burst has lost nothing it acknowledged and keeps nothing twice', async () => {
  using folder = tempFolder();
  const rounds = await burstRounds({ dataFolder: folder.path, clients: CLIENTS, readings: READINGS, rounds: ROUNDS });
  for (const round of rounds) expect(round, JSON.stringify(round)).toMatchObject({ lost: 0, wrongInTheEnd: 0 });
  for (const { acknowledged, killAt } of rounds) expect(acknowledged).toBeGreaterThanOrEqual(killAt);

  const kept = checkLedger(join(folder.path, 'ledger.db'));
  expect([...kept.values()].map((own) => own.size)).toEqual(new Array(CLIENTS).fill((READINGS / CLIENTS) * ROUNDS));
}, 120_000);
