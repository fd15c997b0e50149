import { join } from 'node:path';

import { Heaters } from '../../edge/demo/heaters.ts';
import { encodePack, PACK_SAMPLES_MAX, type Sample } from '../../edge/demo/pack.ts';
import { bodiesAt, type Sensor, sensorsAt } from '../../edge/demo/sensors.ts';
import { decisionSaid, setUpAt, type Told, workAt } from '../../edge/demo/statements.ts';
import { BatchBuilder } from '../../edge/keeper/batch.ts';
import { Keeper } from '../../edge/keeper/keeper.ts';
import { LedgerView } from '../../edge/ledger/ledgerView.ts';
import { type By, Statement } from '../../edge/site/entries.ts';
import { SiteView } from '../../edge/site/views/site.ts';
import { LiveSite } from '../../edge/tally/liveSite.ts';
import { HandClock } from '../support/clock.ts';
import { type TempFolder, tempFolder } from '../support/service.ts';

const LIVE_EVERY_MS = 5_000;

/** The scenario played to a real site on a real ledger, without broker and pages, on a clock that is told by hand. */
export class Replay {
  readonly #folder: TempFolder;
  readonly #clock: HandClock;
  readonly #keeper: Keeper;
  readonly #ledger: LedgerView;
  readonly #live: LiveSite;
  readonly #sensors: readonly Sensor[];
  readonly #heaters: Heaters;

  private constructor(folder: TempFolder, clock: HandClock, keeper: Keeper, ledger: LedgerView, live: LiveSite) {
    this.#folder = folder;
    this.#clock = clock;
    this.#keeper = keeper;
    this.#ledger = ledger;
    this.#live = live;
    const bodies = bodiesAt(clock.now().wallMs);
    this.#sensors = sensorsAt(clock.now().wallMs, bodies);
    this.#heaters = new Heaters(bodies);
  }

  /** Everything that lies before the opening has been said and delivered, in the demonstration's order. Rejects with a refusal. */
  static async open(nowMs: number): Promise<Replay> {
    const folder = tempFolder();
    const clock = new HandClock(nowMs);
    const path = join(folder.path, 'ledger.db');
    const keeper = await Keeper.open(path, 'yard');
    const ledger = new LedgerView(path);
    const live = await LiveSite.start({ site: 'yard', keeper, ledger, clock, program: 'test' });
    const replay = new Replay(folder, clock, keeper, ledger, live);
    await replay.#tell(setUpAt(nowMs));
    await replay.#deliver((sensor) => [...packsOf(sensor, sensor.history), ...packsOf(sensor, sensor.loose), ...sensor.garbled]);
    await replay.#tell(workAt(nowMs));
    live.tick();
    replay.#heaters.heed(replay.site().joints, nowMs);
    return replay;
  }

  get nowMs(): number {
    return this.#clock.now().wallMs;
  }

  site(): SiteView {
    return SiteView.parse(this.#live.views.whole(true));
  }

  say(said: unknown, by: By): Promise<unknown> {
    return this.#live.say(Statement.parse(said), by);
  }

  /** Heaters are switched as the record says by now, and the probes go on live, as the demonstration lets them. */
  async goOn(minutes: number, everyMs = LIVE_EVERY_MS): Promise<void> {
    const fromMs = this.nowMs;
    this.#heaters.heed(this.site().joints, fromMs);
    this.#clock.advance(minutes * 60_000);
    await this.#deliver((sensor) => {
      const samples: Sample[] = [];
      for (let atMs = fromMs; atMs <= this.nowMs; atMs += everyMs)
        samples.push({ atMs, celsius: sensor.celsiusAt(atMs), ...sensor.besidesAt(atMs) });
      return packsOf(sensor, samples);
    });
    this.#live.tick();
  }

  async [Symbol.asyncDispose](): Promise<void> {
    await this.#live.stop();
    this.#ledger.close();
    await this.#keeper.close();
    this.#folder[Symbol.dispose]();
  }

  async #tell(all: readonly Told[]): Promise<void> {
    for (const { by, said } of all)
      await this.say('decide' in said ? decisionSaid(said, this.#live.views.joint(said.decide.joint).findings) : said, by);
  }

  async #deliver(payloadsOf: (sensor: Sensor) => readonly string[]): Promise<void> {
    const batch = new BatchBuilder();
    for (const sensor of this.#sensors)
      for (const payload of payloadsOf(sensor)) batch.add('readings', sensor.probe, Buffer.from(payload), this.#clock.now());
    this.#live.kept(await this.#keeper.deliver(batch.pack(true), this.#live.boot));
    await this.#live.quiet();
  }
}

function packsOf({ baseName }: Sensor, samples: readonly Sample[]): string[] {
  const packs: string[] = [];
  for (let first = 0; first < samples.length; first += PACK_SAMPLES_MAX)
    packs.push(encodePack(baseName, samples.slice(first, first + PACK_SAMPLES_MAX)));
  return packs;
}
