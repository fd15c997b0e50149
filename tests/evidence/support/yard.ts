import type { Schedule } from '../../../edge/cure/schedule.ts';
import { bearsOn } from '../../../edge/evidence/bearing.ts';
import { type Block, encodeBlock, type StoredReading } from '../../../edge/evidence/block.ts';
import { canonicalJson } from '../../../edge/evidence/canonical.ts';
import { EnclosedReadings } from '../../../edge/evidence/readings.ts';
import { type Placed, type Sealed, sealedOf } from '../../../edge/evidence/sealed.ts';
import type { By, Entry } from '../../../edge/site/entries.ts';
import { QUANTITIES, type Quantity } from '../../../edge/site/quantity.ts';
import { applyEntry } from '../../../edge/site/state/apply.ts';
import { emptySite, type SiteState } from '../../../edge/site/state/site.ts';
import { entry, type Said, scheduleEntry } from '../../site/entriesOf.ts';
import { clock, laidUp, mix, prep } from '../../site/work.ts';

export const ms = (minute: number) => Date.parse(clock(minute));

/** A small ledger in memory: entries and blocks as they would be kept, without the program around it. */
export class Yard {
  readonly leaves: ({ readonly entry: Entry } | { readonly block: Block })[] = [];
  readonly site: SiteState = emptySite();

  get entries(): Placed[] {
    return this.leaves.flatMap((leaf, index) => ('entry' in leaf ? [{ seq: index + 1, entry: leaf.entry }] : []));
  }

  get blocks(): { readonly seq: number; readonly block: Block }[] {
    return this.leaves.flatMap((leaf, index) => ('block' in leaf ? [{ seq: index + 1, block: leaf.block }] : []));
  }

  bytesOf(seq: number): Uint8Array {
    const leaf = this.leaves[seq - 1];
    if (leaf === undefined) throw new Error(`no leaf ${seq}`);
    return 'block' in leaf ? encodeBlock(leaf.block) : new TextEncoder().encode(canonicalJson(leaf.entry));
  }

  /** Puts an entry at the end; returns its place. */
  take(one: Entry): number {
    this.leaves.push({ entry: one });
    applyEntry(this.site, one, this.leaves.length);
    return this.leaves.length;
  }

  say(said: Said, minute: number, by?: By): number {
    const one = entry(said, clock(minute));
    return this.take(by === undefined ? one : { ...one, by });
  }

  /** Readings of a probe, °C by minute, as one block. */
  measure(
    probe: string,
    values: ReadonlyMap<number, number>,
    quantity: Quantity = 'temperature',
    more: Partial<StoredReading> = {},
  ): void {
    const readings = [...values].map(
      ([minute, celsius]): StoredReading => ({
        atMs: ms(minute),
        value: Math.round(celsius * 1000),
        basis: 0,
        arrivalMs: ms(minute) + 250,
        monoMs: minute * 60_000,
        boot: 1,
        ...more,
      }),
    );
    this.leaves.push({ block: { probe, quantity: QUANTITIES.indexOf(quantity), readings } });
  }

  sealed(joint: string, minute: number): Omit<Sealed, 'why' | 'stage'> {
    const own = this.site.joints.get(joint);
    if (own === undefined) throw new Error(`no joint ${joint}`);
    const bears = bearsOn(this.site, joint);
    const bearing = this.entries.filter(({ entry: one, seq }) => bears(one, seq));
    return sealedOf(this.site, own, bearing, new EnclosedReadings(this.blocks.map(({ block }) => block)), ms(minute));
  }

  seal(joint: string, minute: number, why: Sealed['why'] = 'asked'): number {
    const statement: Sealed = { ...this.sealed(joint, minute), why };
    const system: By = { name: 'warmhours', role: 'system' };
    return this.take({ ...statement, recordedAt: clock(minute), by: system });
  }
}

/** Every so many minutes from one to another, the last one included. */
export function every(step: number, from: number, to: number, celsius: (minute: number) => number): Map<number, number> {
  const values = new Map<number, number>();
  for (let minute = from; minute <= to; minute += step) values.set(minute, celsius(minute));
  return values;
}

/** Rules with few rows in their table, and stages within two hours. */
export const quick: Schedule = {
  name: 'quick',
  version: 1,
  title: 'Quick laminate',
  author: 'Q. Fir',
  source: 'made up for a test',
  law: { kind: 'arrhenius', activationKilojoulesPerMol: 60 },
  referenceCelsius: 10,
  floorCelsius: 9.5,
  gapLimitMinutes: 15,
  ambientStandIn: false,
  stages: [
    { stage: 'stress', requiredHours: 0.5 },
    { stage: 'hydro', requiredHours: 1 },
  ],
};

const added = (joint: string, sump: string, probes: readonly string[]): Said => ({
  kind: 'joint.added',
  joint,
  sump,
  label: `Joint ${joint}`,
  schedule: 'quick',
  probes: [...probes],
});

/** Two joints of one sump, and another sump beside it; `j1` cures for two hours and is sealed after each. */
export function smallYard(): Yard {
  const yard = new Yard();
  yard.take(
    entry({ kind: 'boot.started', boot: 1, bootId: '0198a4be-0000-7000-8000-000000000000', program: 'test' }, clock(-60)),
  );
  yard.say({ kind: 'site.described', name: 'North yard', timeZone: 'America/Chicago' }, -59);
  yard.take(scheduleEntry(quick, clock(-58)));
  for (const probe of ['p1', 'p2', 'p3']) yard.say({ kind: 'probe.registered', probe, role: 'material' }, -57);
  yard.say({ kind: 'sump.added', sump: 's1', label: 'Sump 1', serial: 'A-17' }, -56);
  yard.say({ kind: 'sump.added', sump: 's2', label: 'Sump 2' }, -55);
  yard.say(added('j1', 's1', ['p1', 'p2']), -54);
  yard.say(added('j2', 's1', ['p3']), -53);
  yard.say({ kind: 'lot.added', lot: 'r1', material: 'resin', label: 'Drum 1' }, -52);
  yard.say({ kind: 'lot.added', lot: 'r2', material: 'resin', label: 'Drum 2' }, -51);
  yard.say(prep(-20), -20);
  yard.say(mix(-10, { resinLot: 'r1' }), -10);
  yard.say({ ...mix(-9, { resinLot: 'r2' }), joint: 'j2' } as Said, -9);
  yard.say(laidUp(0), 1);
  yard.say({ kind: 'note.added', text: '=Lid "ajar", wind\n', joint: 'j1' }, 2);
  yard.measure(
    'p1',
    every(5, -10, 55, (minute) => 12 + minute / 100),
  );
  yard.measure(
    'p2',
    every(5, -8, 52, () => 11.25),
  );
  yard.measure(
    'p3',
    every(10, 0, 50, () => 12),
  );
  yard.seal('j1', 61, 'stage');
  const wrong = yard.say({ kind: 'note.added', text: 'wrong joint', joint: 'j1' }, 62);
  yard.say({ kind: 'entry.withdrawn', seq: wrong, reason: 'said by mistake' }, 63, { name: 'B. Resin', role: 'quality' });
  yard.measure(
    'p1',
    every(5, 60, 115, () => 10.2),
  );
  yard.measure(
    'p2',
    every(5, 57, 112, () => 11.25),
  );
  yard.seal('j2', 121);
  yard.seal('j1', 122, 'done');
  yard.say({ kind: 'note.added', text: 'elsewhere', sump: 's2' }, 123);
  return yard;
}

/** As little as a bundle can be of: one probe, three readings, one seal. */
export function tinyYard(): Yard {
  const yard = new Yard();
  yard.take(scheduleEntry(quick, clock(-58)));
  yard.say({ kind: 'probe.registered', probe: 'p1', role: 'material' }, -57);
  yard.say({ kind: 'sump.added', sump: 's1', label: 'S' }, -56);
  yard.say(added('j1', 's1', ['p1']), -54);
  yard.say(laidUp(0), 1);
  yard.measure(
    'p1',
    every(5, 0, 10, (minute) => 10.3 + minute / 10),
  );
  yard.seal('j1', 20);
  return yard;
}
