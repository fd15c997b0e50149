// `node tests/evidence/support/freeze.ts NAME`: packs one of everything and keeps it under tests/vectors/bundles with its verdict.
// To be run once for each version of the format, by hand: what is frozen is never made again.
import { existsSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { sha256Hex } from '../../../edge/evidence/canonical.ts';
import { verifyBundle } from '../../../edge/evidence/verify.ts';
import { deskOf, packetOf } from './packing.ts';
import { richSite } from './richSite.ts';

const name = process.argv[2] ?? '';
const path = (ending: string) => join(import.meta.dirname, '..', '..', 'vectors', 'bundles', `${name}.${ending}`);
if (!/^format-\d+$/.test(name)) throw new Error('name it by its format, such as format-1');
if (existsSync(path('zip'))) throw new Error(`${name} is frozen already`);

await using site = await richSite();
const bundle = await packetOf(site, deskOf(site).ofSump('s1'));
const { ok, checks, summary, record } = verifyBundle(bundle);
if (!ok) throw new Error(`it is not good: ${checks.find((check) => !check.ok)?.detail}`);
writeFileSync(path('zip'), bundle);
writeFileSync(path('json'), `${JSON.stringify({ sha256: sha256Hex(bundle), summary, record }, null, 1)}\n`);
