/**
 * Keeps one speaker's messages in their order where some take longer than others: while one is under way those that come after it
 * wait. Whoever has nothing under way is served at once.
 */
export class Turns<Speaker extends WeakKey> {
  readonly #last = new WeakMap<Speaker, Promise<void>>();
  readonly #underway = new Set<Promise<void>>();

  /** `work` must not fail. Where it returns nothing, its turn is over. */
  take(speaker: Speaker, work: () => void | Promise<void>): void {
    const before = this.#last.get(speaker);
    const mine = before === undefined ? work() : before.then(work);
    if (mine === undefined) return;
    this.#last.set(speaker, mine);
    this.#underway.add(mine);
    mine.finally(() => {
      this.#underway.delete(mine);
      if (this.#last.get(speaker) === mine) this.#last.delete(speaker);
    });
  }

  /** Resolves when nothing is under way. */
  async quiet(): Promise<void> {
    while (this.#underway.size > 0) await Promise.all(this.#underway);
  }
}
