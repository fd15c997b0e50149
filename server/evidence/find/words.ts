/** Shorter ones are looked for whole: as a beginning they would fit almost everything. */
const PREFIX_LEAST = 3;
/** More than these are marked once rather than looked through each time. */
const FEW_LISTS = 4;

/** How a name, a number or a label is compared: its letters and digits alone, so that "A-17", "a 17" and "A17" are one. */
export function keyOf(text: string): string {
  return text
    .normalize('NFKC')
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]/gu, '');
}

/** Most texts come again and again: names of people, labels of joints. */
const KNOWN_MOST = 10_000;
const known = new Map<string, readonly string[]>();

/** What a text can be found by: its words, the parts of those that hyphens and the like divide, and all of it together. */
export function wordsOf(text: string): readonly string[] {
  const before = known.get(text);
  if (before !== undefined) return before;
  const folded = text.normalize('NFKC').toLowerCase();
  const words = new Set([keyOf(text), ...folded.split(/\s+/).map(keyOf), ...folded.split(/[^\p{L}\p{N}]+/u)]);
  words.delete('');
  if (known.size >= KNOWN_MOST) known.clear();
  const found = [...words];
  known.set(text, found);
  return found;
}

/** The words of a search: each must be there. */
export function searched(text: string): string[] {
  return text
    .split(/\s+/)
    .map(keyOf)
    .filter((word) => word !== '');
}

/** All words, and the joints that bear them, by number and in order. */
export class Words {
  readonly #joints = new Map<string, number[]>();
  /** In order; null until somebody asks for a beginning. */
  #sorted: string[] | null = null;

  add(word: string, joint: number): void {
    const joints = this.#joints.get(word);
    if (joints !== undefined) {
      insert(joints, joint);
      return;
    }
    this.#joints.set(word, [joint]);
    this.#sorted?.splice(placeOf(this.#sorted, word), 0, word);
  }

  remove(word: string, joint: number): void {
    const joints = this.#joints.get(word);
    if (joints !== undefined && has(joints, joint)) joints.splice(placeOf(joints, joint), 1);
  }

  /** The joints that bear exactly this word, in order. */
  exactly(word: string): readonly number[] {
    return this.#joints.get(word) ?? [];
  }

  /** The joints that bear a word that begins so: one list in order for each such word. */
  beginning(word: string): (readonly number[])[] {
    return [...this.#beginningWith(word)].map((fitting) => this.exactly(fitting));
  }

  *#beginningWith(word: string): Generator<string> {
    if (word.length < PREFIX_LEAST) {
      yield word;
      return;
    }
    this.#sorted ??= [...this.#joints.keys()].sort();
    for (let place = placeOf(this.#sorted, word); ; place++) {
      const known = this.#sorted[place];
      if (known?.startsWith(word) !== true) return;
      yield known;
    }
  }
}

/** Joints that a search leaves in question: those in any of some lists, each in order. */
export class Candidates {
  /** Of their lengths: not more joints than that. */
  readonly most: number;
  readonly #lists: readonly (readonly number[])[];
  #marks: Uint8Array | null = null;

  constructor(lists: readonly (readonly number[])[]) {
    this.#lists = lists;
    this.most = lists.reduce((sum, { length }) => sum + length, 0);
  }

  /** Each once. */
  all(): Iterable<number> {
    const [only = [], ...others] = this.#lists;
    return others.length === 0 ? only : new Set(this.#lists.flat());
  }

  /** Whether `joint`, of `count`, is one of them. */
  has(joint: number, count: number): boolean {
    if (this.#lists.length <= FEW_LISTS) return this.#lists.some((list) => has(list, joint));
    if (this.#marks === null) {
      this.#marks = new Uint8Array(count);
      for (const list of this.#lists) for (const one of list) this.#marks[one] = 1;
    }
    return this.#marks[joint] === 1;
  }
}

/** Whether a list in order holds `one`. */
function has(list: readonly number[], one: number): boolean {
  return list[placeOf(list, one)] === one;
}

function insert(list: number[], one: number): void {
  const last = list.at(-1);
  if (last === undefined || last < one) list.push(one);
  else if (!has(list, one)) list.splice(placeOf(list, one), 0, one);
}

/** Where `one` stands in a list in order, or would. */
function placeOf<T extends number | string>(list: readonly T[], one: T): number {
  let low = 0;
  let high = list.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((list[middle] as T) < one) low = middle + 1;
    else high = middle;
  }
  return low;
}
