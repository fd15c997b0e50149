import { CodedError } from '../../edge/errors.ts';

/** Packets that are made at once: each keeps the thread busy that takes the readings in. */
const AT_ONCE = 2;

/** Lets a few packets be made at once, and none twice of the same joint. Nobody waits in a line: whoever comes too early is told so. */
export class PackingTurns {
  readonly #underway: (readonly string[])[] = [];

  /** Begins a packet of these joints and sumps; to be called when it is over: what is returned. @throws CodedError `busy`. */
  begin(names: readonly string[]): () => void {
    const again = this.#underway.flat().find((name) => names.includes(name));
    if (again !== undefined)
      throw new CodedError('busy', `a packet of ${again} is being made already; take that one, or wait until it is done`);
    if (this.#underway.length >= AT_ONCE)
      throw new CodedError('busy', `${AT_ONCE} packets are being made already; ask again in a moment`);
    this.#underway.push(names);
    return () => {
      const place = this.#underway.indexOf(names);
      if (place >= 0) this.#underway.splice(place, 1);
    };
  }
}
