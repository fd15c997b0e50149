import type { Point } from './points.ts';

/** Where points go. */
export interface Engine {
  /** For the log and for the cursor: another engine or bucket has another name. */
  readonly name: string;
  /**
   * Resolves when the engine has said that it took every point. A point that it has already is overwritten with the same.
   * @throws EngineRefusal where trying again soon cannot help, or another Error.
   */
  write(points: readonly Point[]): Promise<void>;
  /** Gives up what is under way, whose `write` rejects. */
  close(): void;
}

/** The engine was reached, and does not want what it was sent. */
export class EngineRefusal extends Error {}
