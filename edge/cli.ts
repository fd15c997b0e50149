import type { Io } from './verbs/io.ts';

type Verb = (args: string[], io: Io) => Promise<number>;

const verbs: Readonly<Record<string, { load: () => Promise<Verb>; about: string }>> = {
  serve: { load: async () => (await import('./verbs/serve.ts')).serve, about: 'runs a site: MQTT intake, ledger, API and pages' },
  demo: { load: async () => (await import('./verbs/demo.ts')).demo, about: 'runs an invented winter job with simulated probes' },
  cure: { load: async () => (await import('./verbs/cure.ts')).cure, about: 'judges one temperature file against a schedule' },
  import: {
    load: async () => (await import('./verbs/import.ts')).importFile,
    about: "takes a logger's temperature file in for a probe of a running site",
  },
  verify: {
    load: async () => (await import('./verbs/verify.ts')).verify,
    about: 'checks a bundle of evidence, without a site and without trusting one',
  },
  simulate: { load: async () => (await import('./verbs/simulate.ts')).simulate, about: 'publishes simulated probes to a broker' },
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
  const asksForHelp = verb === '--help' || verb === 'help';
  if (verb !== '' && !asksForHelp) io.err(`warmhours: no verb "${verb}".`);
  io.err('usage: npm run -s warmhours -- VERB [options]; VERB --help tells more');
  for (const [name, { about }] of Object.entries(verbs)) io.err(`  ${name.padEnd(10)}${about}`);
  process.exitCode = asksForHelp ? 0 : 2;
} else {
  const run = await chosen.load();
  process.exitCode = await run(args, io);
}
