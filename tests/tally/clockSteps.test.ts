import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { hoursOf } from '../../edge/cure/schedule.ts';
import { BatchBuilder } from '../../edge/keeper/batch.ts';
import { Keeper } from '../../edge/keeper/keeper.ts';
import { LedgerView } from '../../edge/ledger/ledgerView.ts';
import type { By, Statement } from '../../edge/site/entries.ts';
import { LiveSite } from '../../edge/tally/liveSite.ts';
import { Tally } from '../../edge/tally/tally.ts';
import { HandClock } from '../support/clock.ts';
import { type TempFolder, tempFolder } from '../support/service.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const TRUE_MS = Date.parse('2026-01-15T08:00:00Z');
const ana: By = { name: 'Ana', role: 'crew' };

/** A site without broker and pages, on a clock that is told by hand. */
class Site {
  readonly clock: HandClock;
  live: LiveSite;
  #keeper: Keeper;
  #view: LedgerView;
  readonly #path: string;

  static async start(path: string, clock: HandClock): Promise<Site> {
    return new Site(path, clock, ...(await opened(path, clock)));
  }

  private constructor(path: string, clock: HandClock, live: LiveSite, keeper: Keeper, view: LedgerView) {
    this.#path = path;
    this.clock = clock;
    this.live = live;
    this.#keeper = keeper;
    this.#view = view;
  }

  async restart(): Promise<void> {
    await this.stop();
    [this.live, this.#keeper, this.#view] = await opened(this.#path, this.clock);
  }

  async stop(): Promise<void> {
    await this.live.stop();
    this.#view.close();
    await this.#keeper.close();
  }

  async say(...statements: Statement[]): Promise<void> {
    for (const statement of statements) await this.live.say(statement, ana);
  }

  /** One reading of p1, stamped by arrival unless the probe has a clock. */
  async hear(celsius: number, ownMs?: number): Promise<void> {
    const batch = new BatchBuilder();
    const time = ownMs === undefined ? '' : `,"t":${ownMs / 1000}`;
    batch.add('readings', 'p1', Buffer.from(`[{"n":"temperature","u":"Cel","v":${celsius}${time}}]`), this.clock.now());
    this.live.kept(await this.#keeper.deliver(batch.pack(this.clock.trusted), this.live.boot));
  }

  /** A reading a minute. */
  async hearFor(hours: number, celsius: number): Promise<void> {
    for (let minute = 0; minute < hours * 60; minute += 10) {
      await this.hear(celsius);
      this.clock.advance(10 * MINUTE_MS);
    }
  }

  /** What is shown, and what a fold from nothing says: they must be the same. */
  async warmHours(): Promise<number> {
    this.live.tick();
    await this.live.quiet();
    const shown = this.live.views.joint('j1').warmHours;
    const fresh = new Tally(this.live.state, this.live.ledger.readings, [], () => this.clock.now().wallMs);
    const folded = hoursOf(fresh.fold('j1')?.state.creditPpmMs ?? 0);
    expect(shown).toBeCloseTo(folded, 5);
    return shown;
  }
}

async function opened(path: string, clock: HandClock): Promise<[LiveSite, Keeper, LedgerView]> {
  const keeper = await Keeper.open(path, 'yard');
  const ledger = new LedgerView(path);
  return [await LiveSite.start({ site: 'yard', keeper, ledger, clock, program: 'test' }), keeper, ledger];
}

const sump: Statement = { kind: 'sump.added', sump: 's1', label: 'North' };
const joint: Statement = {
  kind: 'joint.added',
  joint: 'j1',
  sump: 's1',
  label: 'One',
  schedule: 'polyester-laminate',
  probes: ['p1'],
};
const probe: Statement = {
  kind: 'probe.registered',
  probe: 'p1',
  role: 'material',
  sensor: { kind: 'digital' },
  uncertaintyCelsius: 0.5,
};
const laidUp = (ms: number): Statement => ({ kind: 'joint.laidUp', joint: 'j1', at: new Date(ms).toISOString() });

let folder: TempFolder;
let site: Site;

beforeEach(async () => {
  folder = tempFolder();
  site = await Site.start(join(folder.path, 'ledger.db'), new HandClock(TRUE_MS));
  await site.say(sump, joint, probe);
});

afterEach(async () => {
  await site.stop();
  folder[Symbol.dispose]();
});

test('hours that a clock 26 h ahead stamped never count once it is set back, not even when those instants come', async () => {
  site.clock.setBy(26 * HOUR_MS);
  await site.hearFor(14, 20);
  site.clock.setBy(-26 * HOUR_MS);
  site.live.tick();
  await site.live.quiet();
  await site.say(laidUp(site.clock.now().wallMs));
  await site.hear(4);
  expect(site.live.views.joint('j1')).toMatchObject({ conditions: ['cold'], governing: { celsius: 4 } });

  site.clock.advance(28 * HOUR_MS);
  expect(await site.warmHours()).toBe(0);
  expect(site.live.views.joint('j1').conditions).toEqual(['unproven']);
  await site.restart();
  expect(await site.warmHours()).toBe(0);
  await site.live.seal(0);
  await site.restart();
  expect(await site.warmHours()).toBe(0);
});

test('warm hours stay within clock hours when the clock is set back by ninety minutes', async () => {
  await site.say(laidUp(TRUE_MS));
  await site.hearFor(2, 20);
  site.clock.setBy(-90 * MINUTE_MS);
  const warm = await site.warmHours();
  const { clockHours } = site.live.views.joint('j1');
  expect(clockHours).toBeCloseTo(0.5, 5);
  expect(warm).toBeLessThanOrEqual(clockHours);
});

test('time that a clock skips is not credited, even when it skips less than the gap limit', async () => {
  await site.say(laidUp(TRUE_MS));
  // Half an hour passes, and three times somebody sets the clock on by twelve minutes.
  for (let minute = 0; minute <= 30; minute++) {
    await site.hear(20);
    if (minute % 10 === 5) {
      site.clock.setBy(12 * MINUTE_MS);
      site.live.tick();
    }
    site.clock.advance(MINUTE_MS);
  }
  expect(await site.warmHours()).toBeLessThanOrEqual(0.5);
  expect(await site.warmHours()).toBeGreaterThan(0.4);
});

test('a probe with a clock of its own keeps its hours through a step of ours', async () => {
  await site.say(laidUp(TRUE_MS));
  for (let minute = 0; minute <= 120; minute += 10) {
    await site.hear(20, site.clock.now().wallMs);
    site.clock.advance(10 * MINUTE_MS);
  }
  site.clock.setBy(-90 * MINUTE_MS);
  expect(await site.warmHours()).toBeLessThanOrEqual(0.7);
  site.clock.setBy(90 * MINUTE_MS);
  // The interval across each of the two steps is not credited.
  const after = await site.warmHours();
  expect(after).toBeGreaterThan(1.6);
  expect(after).toBeLessThanOrEqual(2);
  await site.restart();
  expect(await site.warmHours()).toBeCloseTo(after, 5);
});

test('with a clock that was never set nothing is dated, and nothing that was earned is lost', async () => {
  await site.say(laidUp(TRUE_MS));
  await site.hearFor(3, 20);
  const before = await site.warmHours();
  expect(before).toBeGreaterThan(2.8);
  const nowMs = site.clock.now().wallMs;
  site.clock.setBy(-nowMs);
  site.clock.trusted = false;
  await site.restart();
  expect(site.live.views.joint('j1')).toMatchObject({ governing: null, creditRate: null });
  await expect(site.say(laidUp(0))).rejects.toMatchObject({ code: 'clock-not-set' });
  await site.live.seal(0);
  await site.restart();
  site.clock.setBy(nowMs);
  site.clock.trusted = true;
  expect(await site.warmHours()).toBeCloseTo(before, 5);
  await site.restart();
  expect(await site.warmHours()).toBeCloseTo(before, 5);
});

test('a step is on record, steering by milliseconds is not', async () => {
  const kinds = () => [...site.live.ledger.entries()].map(({ entry }) => entry.kind);
  site.clock.setBy(1_500);
  site.live.tick();
  await site.live.quiet();
  expect(kinds()).not.toContain('clock.stepped');
  site.clock.setBy(10 * MINUTE_MS);
  site.live.tick();
  await site.live.quiet();
  const step = [...site.live.ledger.entries()].at(-1)?.entry;
  expect(step).toMatchObject({ kind: 'clock.stepped', boot: 1, from: '2026-01-15T08:00:00.000Z' });
});

test('a step during a cure is a finding that holds the water test until quality has decided', async () => {
  await site.say(laidUp(TRUE_MS));
  await site.hearFor(1, 20);
  site.clock.setBy(10 * MINUTE_MS);
  site.live.tick();
  await site.live.quiet();
  const step = () => site.live.views.joint('j1').findings.filter(({ code }) => code === 'clock-step');
  const [found] = step();
  expect(found).toMatchObject({ severity: 'warning', open: true, blocks: [], numbers: { stepMs: 10 * MINUTE_MS } });
  expect(site.live.views.sump('s1').undecided).toContain(found?.id);
  const accept: Statement = {
    kind: 'finding.decided',
    finding: found?.id ?? '',
    decision: 'accept',
    reason: 'the clock was slow',
  };
  await expect(site.live.say(accept, ana)).rejects.toMatchObject({ code: 'wrong-role' });
  await site.live.say(accept, { name: 'Quinn', role: 'quality' });
  expect(step()).toMatchObject([{ open: false, decision: { by: 'Quinn' } }]);
});
