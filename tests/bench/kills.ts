// A service killed without warning during a burst, again and again: what was acknowledged must be there, once.
import { burstRounds } from '../support/burst.ts';
import { tempFolder } from '../support/service.ts';
import { print } from './table.ts';

const ROUNDS = 50;
const READINGS = 100_000;
const CLIENTS = 8;

export async function kills(): Promise<void> {
  let acknowledged = 0;
  let missing = 0;
  let wrong = 0;
  for (let round = 0; round < ROUNDS; round++) {
    using folder = tempFolder();
    for (const done of await burstRounds({ dataFolder: folder.path, clients: CLIENTS, readings: READINGS, rounds: 1 })) {
      acknowledged += done.acknowledged;
      missing += done.lost;
      wrong += done.wrongInTheEnd;
    }
  }
  const what = `${ROUNDS} SIGKILLs, each in a burst of ${READINGS / 1000} k readings of ${CLIENTS} clients`;
  print({ what, figure: `${(acknowledged / 1000).toFixed(0)} k acknowledged` });
  print({ what: '  acknowledged and then missing', figure: String(missing), goal: { text: '0', met: missing === 0 } });
  print({
    what: '  missing, twice or changed after sending the rest again',
    figure: String(wrong),
    goal: { text: '0', met: wrong === 0 },
  });
}
