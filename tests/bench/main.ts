// `npm run bench [SECTION …]`: measures what README and DEVELOPERS.md claim, in one run, and prints one table.
import { cpus, loadavg, totalmem } from 'node:os';
import { backtest } from './backtest.ts';
import { durable } from './durable.ts';
import { evidence } from './evidence.ts';
import { folding } from './folding.ts';
import { kills } from './kills.ts';
import { latency } from './latency.ts';
import { outlook } from './outlook.ts';
import { tenMillion } from './tenMillion.ts';

const sections: Readonly<Record<string, () => void | Promise<void>>> = {
  folding,
  durable,
  latency,
  tenMillion,
  kills,
  outlook,
  evidence,
  backtest,
};

const wanted = process.argv.slice(2);
const unknown = wanted.filter((name) => !Object.hasOwn(sections, name));
if (unknown.length > 0) {
  console.error(`no section ${unknown.join(', ')}; there are ${Object.keys(sections).join(', ')}`);
  process.exit(2);
}
console.log(
  `Node ${process.version}, ${cpus().length} × ${cpus()[0]?.model ?? 'unknown processor'}, ${(totalmem() / 2 ** 30).toFixed(0)} GiB, load ${loadavg()[0]?.toFixed(1)}`,
);
for (const [name, run] of Object.entries(sections)) {
  if (wanted.length > 0 && !wanted.includes(name)) continue;
  console.log(`\n${name}`);
  await run();
}
