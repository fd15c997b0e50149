import { join } from 'node:path';
import { buffer } from 'node:stream/consumers';
import type { Subject } from '../../../edge/evidence/bearing.ts';
import type { By } from '../../../edge/site/entries.ts';
import { EvidenceDesk } from '../../../server/evidence/desk.ts';
import { gather } from '../../../server/evidence/gather.ts';
import { type Enclosures, packed } from '../../../server/evidence/pack.ts';
import { about, crew, HandSite, quality } from '../../support/handSite.ts';
import { quick } from './yard.ts';

export const WEB_FOLDER = join(import.meta.dirname, '..', '..', '..', 'web', 'dist');
const START_MS = Date.parse('2026-05-04T08:00:00Z');
const admin: By = { name: 'A. Rowan', role: 'admin' };
const foreman: By = { name: 'Zoë Alder', role: 'crew' };

/** The desk of a site, with the real report and the built page. */
export function deskOf({ live }: HandSite, webFolder = WEB_FOLDER): EvidenceDesk {
  return new EvidenceDesk({ live, program: 'warmhours test', webFolder });
}

/** The packet as the desk hands it out. */
export async function packetOf(site: HandSite, subject: Subject): Promise<Uint8Array> {
  const { body } = await deskOf(site).packet(subject, 'letter');
  return new Uint8Array(await buffer(body));
}

/** A packet with next to nothing for report and page, so that little else than evidence is in it. */
export async function barePacketOf({ live }: HandSite, subject: Subject): Promise<Uint8Array> {
  const checkpoint = live.ledger.signed.at(await live.sealJoint(...subject.joints));
  if (checkpoint === null) throw new Error('nothing was signed');
  const enclosures: Enclosures = { report: ['%PDF-1.7\n'], page: new TextEncoder().encode('<!doctype html>\n') };
  const evidence = await gather(live, subject, checkpoint, 'warmhours test');
  return new Uint8Array(Buffer.concat(await Array.fromAsync(packed(evidence, enclosures))));
}

/** A site with a sump and a joint under quick rules, nothing laid up yet. */
export async function quickSite(): Promise<HandSite> {
  const site = await HandSite.start(START_MS);
  await site.say({ kind: 'site.described', name: 'North yard', timeZone: 'America/Chicago' }, admin);
  await site.say({ kind: 'schedule.given', definition: quick, reason: 'for a test' }, quality);
  await site.say({ kind: 'sump.added', sump: 's1', label: 'Sump 1', serial: 'A-17' });
  await site.say({ kind: 'lot.added', lot: 'r1', material: 'resin', label: '=Drum, "north"' });
  await site.say({ kind: 'probe.registered', probe: 'p1', role: 'material', uncertaintyCelsius: 0.5 });
  await site.say({ kind: 'joint.added', joint: 'j1', sump: 's1', label: 'Base', schedule: 'quick', probes: ['p1'] });
  return site;
}

/** Lays `joint` up now; `mixed` is said of its resin. */
export async function layUp(site: HandSite, joint: string, mixed: object = {}): Promise<void> {
  await site.say({ kind: 'prep.signed', joint, at: site.at(), sanded: true, wiped: true, dry: true });
  await site.say({ kind: 'mix.recorded', joint, at: site.at(), resinCelsius: 18, ...mixed });
  await site.say({ kind: 'joint.laidUp', joint, at: site.at() }, foreman);
}

/** The same site, two joints through their work: two probes and the air, a lot, second thoughts, work done again, a water test. */
export async function workedSite(): Promise<HandSite> {
  const site = await quickSite();
  await site.say({ kind: 'probe.registered', probe: 'p2', role: 'material', uncertaintyCelsius: 0.5 });
  await site.say({ kind: 'probe.registered', probe: 'air', role: 'ambient', uncertaintyCelsius: 0.5 });
  const schedule = 'polyester-laminate';
  const upper = { joint: 'j2', sump: 's1', label: 'Upper', schedule, probes: ['p1', 'p2'], ambient: 'air' };
  await site.say({ kind: 'joint.added', ...upper, confirmed: ['probe-elsewhere'] });
  await site.say({ kind: 'sump.added', sump: 's2', label: 'Sump 2' });
  await layUp(site, 'j1', { resinLot: 'r1' });
  await site.cure(2, 14, 'p1');
  await layUp(site, 'j2', { resin: { value: 1, unit: 'quart' }, catalystMillilitres: 15 });
  const wrong = await site.say({ kind: 'note.added', joint: 'j2', text: 'Lid left open.' });
  await site.say({ kind: 'entry.withdrawn', seq: wrong, reason: 'another joint' }, quality);
  await site.cure(5, 9, 'p1', 'p2');
  await site.live.sealJoint('j2');
  await site.say({ kind: 'joint.relaid', joint: 'j2', at: site.at(), reason: 'a dry spot' });
  await site.hear('air', 'temperature', about(11), { from: 5 });
  await site.cure(30, (hour) => about(13)(hour) - (hour > -6 ? 3 : 0), 'p1', 'p2');
  await site.say({ kind: 'note.added', sump: 's2', text: 'Elsewhere.' }, crew);
  return site;
}
