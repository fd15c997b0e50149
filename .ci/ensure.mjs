// Brings a fresh clone to the point where a script can run, on whatever Node bootstraps npm (18 or later).
// `node .ci/ensure.mjs [web] [debian]`: packages always; `web` builds the pages; `debian` brings the programs that tests talk to.
import { spawnSync } from 'node:child_process';
import { existsSync, readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';

const root = join(import.meta.dirname ?? new URL('.', import.meta.url).pathname, '..');
const wanted = process.argv.slice(2);

function say(text) {
  process.stderr.write(`${text}\n`);
}

function run(command, args, options = {}) {
  // What a step prints goes to standard error, so that a verb's own output stays clean on standard output.
  const done = spawnSync(command, args, { cwd: root, stdio: ['ignore', 2, 2], ...options });
  return done.status === 0;
}

function changedAtMs(path) {
  return existsSync(path) ? statSync(path).mtimeMs : 0;
}

function newestMs(folder, skip) {
  let newest = 0;
  for (const item of readdirSync(folder, { withFileTypes: true })) {
    if (skip.includes(item.name)) continue;
    const path = join(folder, item.name);
    newest = Math.max(newest, item.isDirectory() ? newestMs(path, skip) : changedAtMs(path));
  }
  return newest;
}

function packages() {
  const installed = changedAtMs(join(root, 'node_modules', '.package-lock.json'));
  if (installed > 0 && installed >= changedAtMs(join(root, 'package-lock.json'))) return;
  say('warmhours: installing packages …');
  if (!run('npm', ['ci', '--loglevel=error', '--no-fund', '--no-audit'])) {
    say('warmhours: npm ci failed; see the lines above.');
    process.exit(1);
  }
}

function web() {
  const built = changedAtMs(join(root, 'web', 'dist', 'index.html'));
  const sources = Math.max(
    newestMs(join(root, 'web'), ['dist']),
    newestMs(join(root, 'edge', 'cure'), []),
    newestMs(join(root, 'edge', 'site'), []),
    newestMs(join(root, 'edge', 'evidence'), []),
    changedAtMs(join(root, 'package-lock.json')),
  );
  if (built > sources) return;
  say('warmhours: building the pages …');
  const bin = join(root, 'node_modules', '.bin');
  const vite = join(root, 'node_modules', 'vite', 'bin', 'vite.js');
  if (!run(join(bin, 'node'), [vite, 'build', 'web', '--logLevel', 'warn'])) {
    say('warmhours: the pages could not be built; see the lines above.');
    process.exit(1);
  }
}

const PROGRAMS = {
  mosquitto: 'mosquitto',
  mosquitto_pub: 'mosquitto-clients',
  chromium: 'chromium',
  'victoria-metrics': 'victoria-metrics',
  pdftotext: 'poppler-utils',
  qpdf: 'qpdf',
};

function onPath(program) {
  const folders = `${process.env.PATH ?? ''}:/usr/sbin:/usr/local/sbin`.split(':');
  return folders.some((folder) => folder && existsSync(join(folder, program)));
}

function debian() {
  const missing = Object.entries(PROGRAMS)
    .filter(([program]) => !onPath(program))
    .map(([, name]) => name);
  if (missing.length === 0) return;
  const root0 = process.getuid?.() === 0;
  const prefix = root0 ? [] : onPath('sudo') && spawnSync('sudo', ['-n', 'true']).status === 0 ? ['sudo', '-n'] : null;
  const byHand = `apt-get install ${missing.join(' ')}`;
  if (!onPath('apt-get') || prefix === null) {
    say(`warmhours: the tests need ${missing.join(', ')}. Please install them (Debian: ${byHand}) and run again.`);
    process.exit(1);
  }
  say(`warmhours: installing ${missing.join(', ')} …`);
  // A policy file keeps Debian from starting the packages' own services; the tests start what they need themselves.
  const environment = { ...process.env, DEBIAN_FRONTEND: 'noninteractive', RUNLEVEL: '1' };
  const apt = (...args) => {
    const [command, ...rest] = [...prefix, 'apt-get', '-q', '-y', ...args];
    return run(command, rest, { env: environment });
  };
  apt('update');
  if (!apt('install', '--no-install-recommends', ...missing)) {
    say(`warmhours: could not install them. Please run "${byHand}" and try again.`);
    process.exit(1);
  }
}

packages();
if (wanted.includes('web')) web();
if (wanted.includes('debian')) debian();
