import type { Entry } from '../../../edge/site/entries.ts';
import { ownerOf } from '../../../edge/site/findings/id.ts';
import type { Joint } from '../../../edge/site/state/joint.ts';
import { type SiteState, standing } from '../../../edge/site/state/site.ts';
import { Candidates, searched, Words, wordsOf } from './words.ts';

/**
 * What a joint is looked for by; each that is given must fit. Of a name, a number or a label, whole words are asked for, or all of
 * it; letters and digits alone are compared.
 */
export interface Wanted {
  readonly serial?: string | undefined;
  readonly sump?: string | undefined;
  readonly joint?: string | undefined;
  readonly lot?: string | undefined;
  readonly person?: string | undefined;
  /** Words, or beginnings of three letters or more, of any of these. */
  readonly q?: string | undefined;
  /** Work on it within this period, UTC ms. */
  readonly fromMs?: number | undefined;
  readonly toMs?: number | undefined;
}

const FIELDS = ['serial', 'sump', 'joint', 'lot', 'person'] as const;
type Field = (typeof FIELDS)[number];

/** What is known of a joint beside the site's state. */
export interface Indexed {
  readonly joint: string;
  /** Who said something of it or of its sump, in order. */
  readonly people: string[];
  /** Mixed for it and not taken back, in any attempt. */
  lots: readonly string[];
  /** Of the first and the last work on it, UTC ms; when it was added, where nothing was done yet. */
  firstMs: number;
  lastMs: number;
}

/**
 * Finds joints by words, however many there are. It is kept by taking in the ledger's entries: each touches the joints that it is
 * about, and no others.
 */
export class JointIndex {
  readonly #site: SiteState;
  /** By number, in the order in which they came; null: it was taken back. */
  readonly #joints: (Indexed | null)[] = [];
  readonly #numbers = new Map<string, number>();
  readonly #fields: Readonly<Record<Field, Words>> = {
    serial: new Words(),
    sump: new Words(),
    joint: new Words(),
    lot: new Words(),
    person: new Words(),
  };

  /** `site` must hold all that is taken in, and may hold more. */
  constructor(site: SiteState) {
    this.#site = site;
  }

  /** To be called with every entry, in ledger order. */
  take(entry: Entry, seq: number): void {
    if (entry.kind === 'joint.added') this.#add(entry.joint, seq);
    if (entry.kind === 'entry.withdrawn') this.#drop(entry.seq);
    const isOwn = entry.kind === 'entry.withdrawn' || ('joint' in entry && entry.joint !== undefined);
    for (const name of this.#about(entry)) {
      const number = this.#numbers.get(name);
      const joint = this.#site.joints.get(name);
      const indexed = number === undefined ? null : this.#joints[number];
      if (number === undefined || joint === undefined || !indexed) continue;
      if (entry.by.role !== 'system') this.#addPerson(number, indexed, entry.by.name);
      if (isOwn) this.#refresh(number, indexed, joint);
    }
  }

  /** Those that fit, newest work first, `most` of them at most, and how many fit in all. */
  find(wanted: Wanted, most: number): { readonly total: number; readonly joints: Indexed[] } {
    const best = new Newest(most);
    for (const joint of this.matching(wanted)) best.add(joint);
    return { total: best.total, joints: best.inOrder() };
  }

  /** Those that fit, in no order. */
  *matching(wanted: Wanted): Generator<Indexed> {
    const { q = '', fromMs = Number.NEGATIVE_INFINITY, toMs = Number.POSITIVE_INFINITY } = wanted;
    const [fewest, ...others] = this.#candidates(wanted, searched(q)).sort((a, b) => a.most - b.most);
    const count = this.#joints.length;
    for (const number of fewest?.all() ?? this.#joints.keys()) {
      if (!others.every((each) => each.has(number, count))) continue;
      const joint = this.#joints[number];
      if (joint && joint.lastMs >= fromMs && joint.firstMs <= toMs) yield joint;
    }
  }

  /** Of each word that is asked for, the joints that bear it. */
  #candidates(wanted: Wanted, free: readonly string[]): Candidates[] {
    const named = FIELDS.flatMap((field) => {
      const text = wanted[field];
      if (text === undefined) return [];
      const words = searched(text);
      return words.length === 0 ? [[]] : words.map((word) => this.#fields[field].exactly(word));
    });
    return [
      ...named.map((joints) => new Candidates([joints])),
      ...free.map((word) => new Candidates(FIELDS.flatMap((field) => this.#fields[field].beginning(word)))),
    ];
  }

  #add(name: string, seq: number): void {
    const joint = this.#site.joints.get(name);
    // Another one has its name since.
    if (joint?.addedSeq !== seq) return;
    const number = this.#joints.length;
    this.#numbers.set(name, number);
    const addedMs = Date.parse(this.#site.added.said.get(seq)?.recordedAt ?? '');
    const indexed: Indexed = { joint: name, people: [], lots: [], firstMs: addedMs, lastMs: addedMs };
    this.#joints.push(indexed);
    this.#addTexts(number, indexed, joint);
  }

  /** A joint may go with the entry that added it. */
  #drop(seq: number): void {
    const entry = this.#site.added.said.get(seq);
    if (entry?.kind !== 'joint.added' || this.#site.joints.get(entry.joint)?.addedSeq === seq) return;
    const number = this.#numbers.get(entry.joint);
    if (number === undefined) return;
    this.#joints[number] = null;
    this.#numbers.delete(entry.joint);
  }

  #about(entry: Entry): readonly string[] {
    if (entry.kind === 'entry.withdrawn') {
      const taken = this.#site.rederive.get(entry.seq)?.subject.said.get(entry.seq);
      return taken === undefined ? [] : this.#about(taken);
    }
    if (entry.kind === 'finding.decided') return this.#ownedBy(ownerOf(entry.finding));
    if ('joint' in entry && entry.joint !== undefined) return [entry.joint];
    return 'sump' in entry && entry.sump !== undefined ? this.#ownedBy(entry.sump) : [];
  }

  #ownedBy(owner: string): readonly string[] {
    return this.#site.joints.has(owner) ? [owner] : (this.#site.sumps.get(owner)?.joints ?? []);
  }

  #refresh(number: number, indexed: Indexed, joint: Joint): void {
    const instants: number[] = [];
    const lots = new Set<string>();
    for (const { entry, atMs } of standing(joint)) {
      instants.push(atMs);
      if (entry.kind !== 'mix.recorded') continue;
      for (const lot of [entry.resinLot, entry.catalystLot]) if (lot !== undefined) lots.add(lot);
    }
    const addedMs = Date.parse(this.#site.added.said.get(joint.addedSeq)?.recordedAt ?? '');
    indexed.firstMs = instants.reduce((least, one) => Math.min(least, one), instants[0] ?? addedMs);
    indexed.lastMs = instants.reduce((most, one) => Math.max(most, one), instants[0] ?? addedMs);
    const gone = indexed.lots.filter((lot) => !lots.has(lot));
    if (gone.length === 0 && lots.size === indexed.lots.length) return;
    indexed.lots = [...lots];
    for (const lot of gone) for (const text of this.#textsOfLot(lot)) this.#removeText(number, 'lot', text);
    // What went may have had words in common with what is still there.
    this.#addTexts(number, indexed, joint);
  }

  #addTexts(number: number, { people, lots }: Indexed, joint: Joint): void {
    const sump = this.#site.sumps.get(joint.sump);
    const texts: Readonly<Record<Field, readonly string[]>> = {
      serial: sump?.serial == null ? [] : [sump.serial],
      sump: [joint.sump, sump?.label ?? ''],
      joint: [joint.joint, joint.label],
      lot: lots.flatMap((lot) => this.#textsOfLot(lot)),
      person: people,
    };
    for (const field of FIELDS) for (const text of texts[field]) this.#addText(number, field, text);
  }

  #textsOfLot(lot: string): string[] {
    return [lot, this.#site.lots.get(lot)?.label ?? ''];
  }

  #addPerson(number: number, indexed: Indexed, name: string): void {
    if (indexed.people.includes(name)) return;
    indexed.people.push(name);
    this.#addText(number, 'person', name);
  }

  #addText(number: number, field: Field, text: string): void {
    for (const word of wordsOf(text)) this.#fields[field].add(word, number);
  }

  #removeText(number: number, field: Field, text: string): void {
    for (const word of wordsOf(text)) this.#fields[field].remove(word, number);
  }
}

/** By the last work on them, for `sort`. */
export function newestFirst(a: Indexed, b: Indexed): number {
  return b.lastMs - a.lastMs || (a.joint < b.joint ? -1 : 1);
}

/** The newest of many, without keeping them all. */
class Newest {
  total = 0;
  readonly #most: number;
  #kept: Indexed[] = [];
  /** What is older is not among them. */
  #leastMs = Number.NEGATIVE_INFINITY;

  constructor(most: number) {
    this.#most = most;
  }

  add(joint: Indexed): void {
    this.total++;
    if (joint.lastMs < this.#leastMs) return;
    this.#kept.push(joint);
    if (this.#kept.length >= this.#most * 2) this.#cut();
  }

  inOrder(): Indexed[] {
    this.#cut();
    return this.#kept;
  }

  #cut(): void {
    this.#kept = this.#kept.sort(newestFirst).slice(0, this.#most);
    if (this.#kept.length === this.#most) this.#leastMs = this.#kept.at(-1)?.lastMs ?? this.#leastMs;
  }
}
