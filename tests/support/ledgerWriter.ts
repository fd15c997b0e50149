// A child process to be killed: writes readings into a ledger, keeps folds and seals, for ever, and says what is committed.
// Arguments: the file, the number of the first reading. A line of output names the first reading that is not committed yet.
import { writeSync } from 'node:fs';
import { setImmediate as turn } from 'node:timers/promises';
import { columnsOf } from '../../edge/keeper/batch.ts';
import { Ledger } from '../../edge/ledger/ledger.ts';
import { LedgerView } from '../../edge/ledger/ledgerView.ts';
import { Tally } from '../../edge/tally/tally.ts';
import { siteOf } from './folds.ts';
import { BATCH, writtenReading } from './ledgerWritten.ts';

const [path = '', first = '0'] = process.argv.slice(2);
const ledger = new Ledger(path);
const view = new LedgerView(path);
const tally = new Tally(siteOf(view), view.readings, view.checkpoints());
let sealing: Promise<number> = Promise.resolve(0);
writeSync(1, `${first}\n`);
for (let next = Number(first); ; next += BATCH) {
  const readings = Array.from({ length: BATCH }, (_, index) => writtenReading(next + index));
  const { taken, takenInAll } = ledger.deliver([{ topic: 'cure/yard/probe/p1/senml', readings, setAside: [] }]);
  writeSync(1, `${next + BATCH}\n`);
  tally.take(columnsOf(taken, takenInAll));
  if ((next / BATCH) % 5 === 0) {
    await sealing;
    ledger.keepCheckpoints(tally.checkpoints());
    sealing = ledger.seal(Math.max(...readings.map(({ atMs }) => atMs)), tally.folded);
  }
  await turn();
}
