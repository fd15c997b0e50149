import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative, resolve, sep } from 'node:path';
import { parseSync } from 'vite';
import { describe, expect, test } from 'vitest';

const ROOT = resolve(import.meta.dirname, '..');
const CURE = join(ROOT, 'edge', 'cure');
const SITE = join(ROOT, 'edge', 'site');
const EVIDENCE = join(ROOT, 'edge', 'evidence');
/** Hashes, signatures and ZIP in plain JavaScript: the same code in the service, on the command line and in an offline page. */
const EVIDENCE_PACKAGES = /^(?:zod|fflate|@noble\/(?:hashes|curves)\/[a-z0-9]+\.js)$/;

/** Names that reach the clock, the machine or chance, wherever they stand as a value. */
const OUTSIDE = new Set([
  ...['process', 'performance', 'globalThis', 'global', 'window', 'self', 'navigator', 'require', 'crypto', 'fetch', 'console'],
  ...['setTimeout', 'setInterval', 'setImmediate', 'queueMicrotask', 'requestAnimationFrame', 'Temporal', 'eval', 'Function'],
]);
const DATE_MEMBERS = new Set(['UTC', 'parse']);

/**
 * What ECMA-262 fixes to the last bit: results of all other members of `Math` may differ from engine to engine. The square root is
 * among them because IEEE 754 asks for the correctly rounded one, as it does for the four operations.
 */
const EXACT = new Set(['abs', 'ceil', 'floor', 'max', 'min', 'round', 'sign', 'sqrt', 'trunc', 'LN2', 'PI', 'SQRT1_2']);

interface Node {
  readonly type: string;
  readonly start: number;
  readonly [key: string]: unknown;
}

interface Found {
  /** What the file takes in, as written: also types, which tie it to the other file all the same. */
  readonly specifiers: string[];
  readonly impure: string[];
  readonly inexact: string[];
}

function isNode(value: unknown): value is Node {
  return typeof value === 'object' && value !== null && 'type' in value && typeof value.type === 'string';
}

function nameOf(value: unknown): string {
  return isNode(value) && value.type === 'Identifier' ? String(value.name) : '';
}

/** Parts of a node that name a member or a type and stand for no value of their own. */
function isMerelyAName(parent: Node, key: string): boolean {
  if (key === 'typeName' || key === 'imported' || key === 'exported') return true;
  return parent.computed !== true && (key === 'property' || key === 'key');
}

function examine(source: string): Found {
  const { program, errors } = parseSync('examined.ts', source);
  if (errors.length > 0) throw new Error(`does not parse: ${errors[0]?.message}`);
  const found: Found = { specifiers: [], impure: [], inexact: [] };
  const note = (node: Node, list: string[], what: string) =>
    list.push(`${what} in line ${source.slice(0, node.start).split('\n').length}`);

  const visit = (node: Node, parent: Node | null) => {
    if (isNode(node.source)) found.specifiers.push(String(node.source.value ?? `(computed)`));
    if (node.type === 'MetaProperty' && nameOf(node.meta) === 'import') note(node, found.impure, 'import.meta');
    if (node.operator === '**' || node.operator === '**=') note(node, found.inexact, String(node.operator));
    if (node.type === 'MemberExpression' && /^(toLocale|localeCompare)/.test(nameOf(node.property)))
      note(node, found.impure, nameOf(node.property));
    const name = nameOf(node);
    if (OUTSIDE.has(name)) note(node, found.impure, name);
    const member =
      parent?.type === 'MemberExpression' && parent.object === node && parent.computed !== true ? nameOf(parent.property) : null;
    if (name === 'Date') {
      const dated = parent?.type === 'NewExpression' && Array.isArray(parent.arguments) && parent.arguments.length > 0;
      if (!dated && !DATE_MEMBERS.has(member ?? '')) note(node, found.impure, member === null ? 'Date' : `Date.${member}`);
    }
    if (name === 'Math') {
      if (member === null || member === 'random') note(node, found.impure, member === null ? 'Math' : 'Math.random');
      else if (!EXACT.has(member)) note(node, found.inexact, `Math.${member}`);
    }
    for (const [key, value] of Object.entries(node)) {
      if (isMerelyAName(node, key)) continue;
      for (const child of Array.isArray(value) ? value : [value]) if (isNode(child)) visit(child, node);
    }
  };
  visit(program as unknown as Node, null);
  return found;
}

function filesIn(folders: readonly string[]): string[] {
  return folders
    .flatMap((folder) => readdirSync(folder, { recursive: true, encoding: 'utf8' }).map((name) => join(folder, name)))
    .filter((file) => file.endsWith('.ts'));
}

const isWithin = (file: string, folders: readonly string[]) => folders.some((folder) => file.startsWith(folder + sep));

/** All that the files of `folders` take in, in whatever steps, and what among it is neither in `allowed` nor such a package. */
function reachOf(folders: readonly string[], allowed: readonly string[], packages: RegExp) {
  const reached = new Map<string, Found>();
  const strangers: string[] = [];
  const reach = (file: string) => {
    if (reached.has(file)) return;
    const found = examine(readFileSync(file, 'utf8'));
    reached.set(file, found);
    for (const specifier of found.specifiers) {
      if (packages.test(specifier)) continue;
      const target = specifier.startsWith('.') ? resolve(dirname(file), specifier) : specifier;
      if (specifier.startsWith('.') && isWithin(target, allowed)) reach(target);
      else strangers.push(`${relative(ROOT, file)} takes in ${specifier}`);
    }
  };
  for (const file of filesIn(folders)) reach(file);
  return { reached, strangers };
}

describe('edge/cure and edge/site stand alone', () => {
  const { reached, strangers } = reachOf([CURE, SITE], [CURE, SITE], /^zod$/);
  const all = (of: (found: Found) => string[]) =>
    [...reached].flatMap(([file, found]) => of(found).map((what) => `${relative(ROOT, file)}: ${what}`));

  test('they take in nothing but each other and the schema library, types included', () => {
    expect(reached.size).toBeGreaterThanOrEqual(60);
    expect(strangers).toEqual([]);
  });

  test('they touch no clock, no chance, no machine', () => {
    expect(all((found) => found.impure)).toEqual([]);
  });

  test('nothing in them may differ between engines: no member of Math but the exact ones, no **', () => {
    expect(all((found) => found.inexact)).toEqual([]);
    expect([...reached.keys()].map((file) => relative(ROOT, file))).toEqual(
      expect.arrayContaining(
        ['exp', 'ln', 'law', 'dewPoint', 'sensors/thermistor'].map((name) => join('edge', 'cure', `${name}.ts`)),
      ),
    );
  });
});

describe('edge/evidence verifies by itself', () => {
  const { reached, strangers } = reachOf([EVIDENCE], [EVIDENCE, CURE, SITE], EVIDENCE_PACKAGES);
  const own = [...reached].filter(([file]) => isWithin(file, [EVIDENCE]));
  const all = (of: (found: Found) => string[]) =>
    own.flatMap(([file, found]) => of(found).map((what) => `${relative(ROOT, file)}: ${what}`));

  test('it takes in the rules of cure and site, hashes, signatures, ZIP and schemas: no ledger, no signer, no module of Node', () => {
    expect(own.map(([file]) => relative(EVIDENCE, file))).toEqual(
      expect.arrayContaining(['canonical.ts', 'block.ts', 'merkle.ts', 'note.ts', 'siteKey.ts', 'strictJson.ts']),
    );
    expect(strangers).toEqual([]);
  });

  test('it touches no clock, no chance, no machine', () => {
    expect(all((found) => found.impure)).toEqual([]);
  });

  test('nothing in it may differ between engines', () => {
    expect(all((found) => found.inexact)).toEqual([]);
  });

  test.each(['@noble/hashes/sha2.js', '@noble/curves/ed25519.js', 'fflate', 'zod'])('%s may be taken in', (name) => {
    expect(name).toMatch(EVIDENCE_PACKAGES);
  });

  test.each(['node:crypto', 'buffer', '@noble/hashes', '@noble/ciphers/aes.js', 'fflate/node', 'pdfkit'])(
    '%s may not',
    (name) => {
      expect(name).not.toMatch(EVIDENCE_PACKAGES);
    },
  );
});

describe('the examination itself', () => {
  test.each([
    ['const t = Date.now();', 'Date.now'],
    ['const t = new Date();', 'Date'],
    ['const t = new Date;', 'Date'],
    ['const t = Date();', 'Date'],
    ['const now = { now: Date }.now;', 'Date'],
    ['const t = Date["now"]();', 'Date'],
    ['const x = Math.random();', 'Math.random'],
    ['const { random } = Math;', 'Math'],
    ['const t = performance.now();', 'performance'],
    ['const home = process.env.HOME;', 'process'],
    ['const p = { process };', 'process'],
    ['globalThis.setTimeout(f, 1);', 'globalThis'],
    ['setTimeout(f, 1);', 'setTimeout'],
    ['const here = import.meta.url;', 'import.meta'],
    ['const text = n.toLocaleString();', 'toLocaleString'],
  ])('%s is found', (source, what) => {
    expect(examine(source).impure).toEqual([`${what} in line 1`]);
  });

  test.each([
    'const t = new Date(ms).toISOString();',
    'const t = Date.parse(text) + Date.UTC(2015, 0, 1);',
    'const x = Math.max(1, state.process, { performance: 2 }.performance);',
    'interface Machine { process: string; at: Date }',
  ])('%s is not', (source) => {
    expect(examine(source)).toMatchObject({ impure: [], inexact: [] });
  });

  test('every way to take something in is seen', () => {
    const source = [
      `import a from 'a';`,
      `import type { B } from 'b';`,
      `export { c } from 'c';`,
      `export * from 'd';`,
      `const e = await import('e');`,
      `type F = import('f').F;`,
      `import 'g';`,
    ].join('\n');
    expect(examine(source).specifiers).toEqual(['a', 'b', 'c', 'd', 'e', 'f', 'g']);
  });

  test.each([
    ['const x = 2 ** 3 + Math.pow(2, 3);', ['** in line 1', 'Math.pow in line 1']],
    ['x **= 2;', ['**= in line 1']],
    [
      'const e = [Math.exp, Math.log, Math.hypot, Math.tanh];',
      ['exp', 'log', 'hypot', 'tanh'].map((name) => `Math.${name} in line 1`),
    ],
    ['const x = Math.sqrt(Math.max(1, Math.abs(y)));', []],
  ])('%s: inexact are %j', (source, inexact) => {
    expect(examine(source).inexact).toEqual(inexact);
  });
});
