import { cure } from './verbs/cure.ts';
import { demo } from './verbs/demo.ts';
import { serve } from './verbs/serve.ts';
import { simulate } from './verbs/simulate.ts';

/** What a verb may touch: two places to write lines to, and word of when to stop. */
export interface Io {
  readonly out: (line: string) => void;
  readonly err: (line: string) => void;
  readonly signal: AbortSignal;
}

const verbs: Readonly<Record<string, { run: (args: string[], io: Io) => Promise<number>; about: string }>> = {
  serve: { run: serve, about: 'runs a site: MQTT intake, ledger, API and pages' },
  demo: { run: demo, about: 'runs an invented winter job with simulated probes' },
  cure: { run: cure, about: 'judges one temperature file against a schedule' },
  simulate: { run: simulate, about: 'publishes simulated probes to a broker' },
};

const stopping = new AbortController();
for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => stopping.abort());

const [verb = '', ...args] = process.argv.slice(2);
const chosen = Object.hasOwn(verbs, verb) ? verbs[verb] : undefined;
const io: Io = {
  out: (line) => process.stdout.write(`${line}\n`),
  err: (line) => process.stderr.write(`${line}\n`),
  signal: stopping.signal,
};
if (chosen === undefined) {
  if (verb !== '' && verb !== '--help' && verb !== 'help') io.err(`warmhours: no verb "${verb}".`);
  io.err('usage: npm run -s warmhours -- VERB [options]; VERB --help tells more');
  for (const [name, { about }] of Object.entries(verbs)) io.err(`  ${name.padEnd(10)}${about}`);
  process.exitCode = verb === '--help' || verb === 'help' ? 0 : 2;
} else {
  process.exitCode = await chosen.run(args, io);
}
