import { join } from 'node:path';
import { HOUR_MS } from '../../edge/cure/schedule.ts';
import { BatchBuilder } from '../../edge/keeper/batch.ts';
import { Keeper } from '../../edge/keeper/keeper.ts';
import { LedgerView } from '../../edge/ledger/ledgerView.ts';
import { type By, type Role, Statement } from '../../edge/site/entries.ts';
import type { FindingView } from '../../edge/site/views/finding.ts';
import { JointView } from '../../edge/site/views/joint.ts';
import { SumpView } from '../../edge/site/views/sump.ts';
import { LiveSite } from '../../edge/tally/liveSite.ts';
import { HandClock } from './clock.ts';
import { type TempFolder, tempFolder } from './service.ts';

const MINUTE_MS = 60_000;
/** Longer than a joint waits to be looked through again, even a silent one. */
const LOOKED_THROUGH_HOURS = 61 / 3600;
/** Records of one message. */
const RECORDS = 200;

export const crew: By = { name: 'R. Oak', role: 'crew' };
export const quality: By = { name: 'Q. Fir', role: 'quality' };
export const claims: By = { name: 'C. Elm', role: 'claims' };

/** Someone else with a role, for what two people say. */
export function somebody(role: Role, name = 'S. Ash'): By {
  return { name, role };
}

export type Quantity = 'temperature' | 'humidity' | 'resistance' | 'level';
const UNITS: Readonly<Record<Quantity, string>> = { temperature: 'Cel', humidity: '%RH', resistance: 'Ohm', level: 'm' };

interface Opened {
  readonly live: LiveSite;
  readonly keeper: Keeper;
  readonly ledger: LedgerView;
}

async function open(folder: TempFolder, clock: HandClock): Promise<Opened> {
  const path = join(folder.path, 'ledger.db');
  const keeper = await Keeper.open(path, 'yard');
  const ledger = new LedgerView(path);
  return { live: await LiveSite.start({ site: 'yard', keeper, ledger, clock, program: 'test' }), keeper, ledger };
}

/** Never below `celsius`, and never quite still: what rests on one value for hours is taken for frozen. */
export function about(celsius: number): (hour: number) => number {
  return (hour) => celsius + (Math.abs(Math.round(hour * 60)) % 2 === 0 ? 0 : 0.0625);
}

/** A real site on a real ledger file, without broker and pages, on a clock that is told by hand. */
export class HandSite {
  readonly clock: HandClock;
  readonly #folder: TempFolder;
  #opened: Opened;

  private constructor(folder: TempFolder, clock: HandClock, opened: Opened) {
    this.#folder = folder;
    this.clock = clock;
    this.#opened = opened;
  }

  static async start(startMs: number): Promise<HandSite> {
    const folder = tempFolder();
    const clock = new HandClock(startMs);
    return new HandSite(folder, clock, await open(folder, clock));
  }

  async restart(): Promise<void> {
    await this.#close();
    this.#opened = await open(this.#folder, this.clock);
  }

  get live(): LiveSite {
    return this.#opened.live;
  }

  async #close(): Promise<void> {
    const { live, ledger, keeper } = this.#opened;
    await live.stop();
    ledger.close();
    await keeper.close();
  }

  async [Symbol.asyncDispose](): Promise<void> {
    await this.#close();
    this.#folder[Symbol.dispose]();
  }

  get nowMs(): number {
    return this.clock.now().wallMs;
  }

  /** The present, or so many hours before it. */
  at(hoursAgo = 0): string {
    return new Date(this.nowMs - hoursAgo * HOUR_MS).toISOString();
  }

  /** Says something; its place in the ledger. Rejects with the refusal. */
  async say(said: object, by: By = crew): Promise<number> {
    const { seq } = await this.live.say(Statement.parse(said), by);
    return seq;
  }

  /** Readings of a probe from `fromHoursAgo` to `toHoursAgo`, each stamped by the probe's own clock, the last one at the end itself. */
  async hear(
    probe: string,
    quantity: Quantity,
    value: number | ((hour: number) => number),
    { from, to = 0, everyMinutes = 5 }: { from: number; to?: number; everyMinutes?: number },
  ): Promise<void> {
    const records: object[] = [];
    const endMs = this.nowMs - to * HOUR_MS;
    for (let ms = this.nowMs - from * HOUR_MS; ; ms += everyMinutes * MINUTE_MS) {
      const atMs = Math.min(ms, endMs);
      const v = typeof value === 'number' ? value : value((atMs - this.nowMs) / HOUR_MS);
      records.push({ n: quantity, u: UNITS[quantity], v, t: atMs / 1000 });
      if (atMs === endMs) break;
    }
    const batch = new BatchBuilder();
    for (let first = 0; first < records.length; first += RECORDS) {
      const payload = Buffer.from(JSON.stringify(records.slice(first, first + RECORDS)));
      batch.add('readings', probe, payload, this.clock.now());
    }
    this.live.kept(await this.#opened.keeper.deliver(batch.pack(this.clock.trusted), this.live.boot));
    this.live.tick();
    await this.live.quiet();
  }

  /** Time goes by. */
  wait(hours: number): void {
    this.clock.advance(Math.round(hours * HOUR_MS));
    this.live.tick();
  }

  /** Time goes by while probes on the material say that it is so warm. */
  async cure(hours: number, celsius: number | ((hour: number) => number), ...probes: readonly string[]): Promise<void> {
    this.clock.advance(Math.round(hours * HOUR_MS));
    const value = typeof celsius === 'number' ? about(celsius) : celsius;
    for (const probe of probes) await this.hear(probe, 'temperature', value, { from: hours });
  }

  joint(name: string): JointView {
    return JointView.parse(this.live.views.joint(name));
  }

  sump(name: string): SumpView {
    return SumpView.parse(this.live.views.sump(name));
  }

  /** The findings of a joint with this code, once its readings have been looked through again, which takes a moment. */
  findings(joint: string, code: FindingView['code']): FindingView[] {
    this.wait(LOOKED_THROUGH_HOURS);
    return this.joint(joint).findings.filter((finding) => finding.code === code);
  }
}
