import { setImmediate as turn } from 'node:timers/promises';
import fc from 'fast-check';
import { beforeEach, describe, expect, test, vi } from 'vitest';
import { longWaitMs, waitMs } from '../../edge/relay/backOff.ts';
import { EngineRefusal } from '../../edge/relay/engine.ts';
import { Mirror } from '../../edge/relay/mirror.ts';
import { pointsOf } from '../../edge/relay/points.ts';
import { START_MS } from '../support/readings.ts';
import { HandTime } from './handTime.ts';
import { blockOf, partsOf, ScriptedEngine, ScriptedLedger } from './scripted.ts';

const CURSOR = 'mirror engine';
const LONGEST_MS = 5 * 60_000;
const DOWN = new Error('connect ECONNREFUSED');

let ledger: ScriptedLedger;
let engine: ScriptedEngine;
let time: HandTime;
let said: string[];
beforeEach(() => {
  ledger = new ScriptedLedger();
  engine = new ScriptedEngine();
  time = new HandTime();
  said = [];
});
const start = (chance = () => 0.5) =>
  Mirror.start(partsOf(ledger, engine, { sleep: time.sleep, log: (line) => said.push(line), chance }));
const pointsIn = (source: ScriptedLedger) => source.blocks.flatMap(({ block }) => pointsOf('yard', block));

describe('the waits', () => {
  test('double from one second at least to five minutes at most', () => {
    const spans = [2, 4, 8, 16, 32, 64, 128, 256, 300, 300].map((seconds) => seconds * 1000);
    expect(spans.map((_, index) => waitMs(index + 1, 0))).toEqual(spans.map((ms) => ms / 2));
    const longest = spans.map((_, index) => waitMs(index + 1, 1 - 2 ** -53));
    longest.forEach((ms, index) => {
      expect(ms).toBeGreaterThan((spans[index] as number) - 2);
      expect(ms).toBeLessThanOrEqual(spans[index] as number);
    });
    expect(waitMs(1, 0)).toBe(1000);
    expect(waitMs(10_000, 0.5)).toBe(LONGEST_MS * 0.75);
  });

  test('are long at once where trying again soon cannot help', () => {
    expect(longWaitMs(0)).toBe(LONGEST_MS / 2);
    expect(longWaitMs(0.5)).toBe(LONGEST_MS * 0.75);
  });
});

describe('the mirror', () => {
  test('sends every block in order, in batches of about 2,000 readings, and keeps its cursor after each', async () => {
    const kept: number[] = [];
    for (let hour = 0; hour < 9; hour++) ledger.add(blockOf('p1', hour * 60, 1500));
    ledger.add(blockOf('p2', 0, 12_000), blockOf('p1', 540, 1));
    const mirror = Mirror.start(
      partsOf(ledger, engine, {
        sleep: time.sleep,
        log: (line) => said.push(line),
        keepCursor: async (name, seq) => {
          expect(name).toBe(CURSOR);
          kept.push(seq);
        },
      }),
    );
    await time.asleep();
    expect(engine.offered).toEqual([3000, 3000, 3000, 3000, 13_500, 1]);
    expect(kept).toEqual([6, 12, 18, 24, 30, 33]);
    expect(engine.taken).toEqual(pointsIn(ledger));
    expect(engine.taken[0]).toEqual({
      measurement: 'temperature',
      tags: { site: 'yard', probe: 'p1' },
      value: 1,
      atMs: START_MS,
    });
    expect(said).toEqual([]);
    await mirror.stop();
  });

  test('backs off while the engine is down, says so once, and once that it is back', async () => {
    ledger.add(blockOf('p1', 0, 10));
    engine.script.push(...new Array<Error>(12).fill(DOWN));
    const mirror = start();
    await time.asleep();
    for (let failure = 1; failure < 12; failure++) {
      expect(ledger.cursors.size).toBe(0);
      await time.pass();
    }
    expect(time.slept).toEqual(Array.from({ length: 12 }, (_, index) => waitMs(index + 1, 0.5)));
    expect(said).toEqual(['MIRROR: engine gets no readings (connect ECONNREFUSED); they stay in the ledger until it takes them']);
    await time.pass();
    expect(said.slice(1)).toEqual(['MIRROR: engine takes readings again']);
    expect(engine.taken).toEqual(pointsIn(ledger));
    expect(ledger.cursors.get(CURSOR)).toBe(3);

    // The next outage begins with a short wait again, and is told again.
    ledger.add(blockOf('p1', 60, 10));
    engine.script.push(DOWN);
    await time.pass();
    expect(time.slept.at(-1)).toBe(waitMs(1, 0.5));
    expect(said).toHaveLength(3);
    await mirror.stop();
  });

  test('comes back late where it is refused, says what the engine said, and skips nothing', async () => {
    ledger.add(blockOf('p1', 0, 10), blockOf('p1', 60, 10));
    const refusal = (text: string) => new EngineRefusal(text);
    engine.script.push(
      DOWN,
      refusal('401 unauthorized\naccess'),
      refusal('401 unauthorized\naccess'),
      refusal('400 no float'),
      DOWN,
    );
    const mirror = start();
    await time.asleep();
    for (let round = 1; round < 5; round++) await time.pass();
    expect(time.slept).toEqual([waitMs(1, 0.5), longWaitMs(0.5), longWaitMs(0.5), longWaitMs(0.5), waitMs(5, 0.5)]);
    expect(said.map((line) => /readings \((.*)\)/.exec(line)?.[1])).toEqual([
      'connect ECONNREFUSED',
      '401 unauthorized access',
      '400 no float',
      'connect ECONNREFUSED',
    ]);
    expect(engine.offered).toEqual([20, 20, 20, 20, 20]);
    await time.pass();
    expect(engine.taken).toEqual(pointsIn(ledger));
    await mirror.stop();
  });

  test('sends the same batch again when its cursor could not be kept', async () => {
    ledger.add(blockOf('p1', 0, 10));
    ledger.fault = new Error('disk full');
    const mirror = start();
    await time.asleep();
    ledger.fault = null;
    await time.pass();
    expect(engine.taken).toEqual([...pointsIn(ledger), ...pointsIn(ledger)]);
    expect(ledger.cursors.get(CURSOR)).toBe(3);
    await mirror.stop();
  });

  test('is woken by new blocks, also while it sends, but not out of a wait after a failure', async () => {
    const mirror = start();
    await time.asleep();
    expect(time.slept).toEqual([10 * 60_000]);
    ledger.add(blockOf('p1', 0, 10));
    const asleep = time.asleep();
    mirror.wake();
    await asleep;
    expect(engine.taken).toHaveLength(10);

    engine.hang = Promise.withResolvers();
    ledger.add(blockOf('p1', 60, 10));
    mirror.wake();
    await turn();
    expect(engine.offered).toEqual([10, 10]);
    const sleptBefore = time.slept.length;
    mirror.wake();
    engine.hang.resolve();
    engine.hang = null;
    // The sleep that the call had already ended, and the one after the pass that it asked for.
    await vi.waitFor(() => expect(time.slept.length - sleptBefore).toBe(2));
    expect(engine.taken).toEqual(pointsIn(ledger));

    engine.script.push(DOWN);
    ledger.add(blockOf('p1', 120, 10));
    await time.pass();
    const waits = time.slept.length;
    mirror.wake();
    await turn();
    expect(time.slept).toHaveLength(waits);
    expect(engine.offered).toHaveLength(3);
    await mirror.stop();
  });

  test('stops in the middle of a hanging batch, without a word and without its cursor', async () => {
    ledger.add(blockOf('p1', 0, 10));
    engine.hang = Promise.withResolvers();
    const mirror = start();
    await turn();
    await mirror.stop();
    expect(said).toEqual([]);
    expect(ledger.cursors.size).toBe(0);
    expect(engine.offered).toEqual([10]);
  });

  test('tells a block of an unknown quantity instead of passing over it', async () => {
    ledger.add({ ...blockOf('p1', 0, 10), quantity: 77 });
    const mirror = start();
    await time.asleep();
    expect(said).toEqual([expect.stringContaining('a block of "p1" holds quantity 77')]);
    expect(engine.offered).toEqual([]);
    await mirror.stop();
  });

  test('brings everything over whatever the engine does, and whenever the program dies', async () => {
    const Step = fc.constantFrom('works', 'down', 'refuses', 'dies before its cursor is kept', 'dies', 'new block');
    await fc.assert(
      fc.asyncProperty(fc.array(Step, { maxLength: 30 }), fc.nat({ max: 3 }), async (steps, blocks) => {
        ledger = new ScriptedLedger();
        engine = new ScriptedEngine();
        time = new HandTime();
        let next = 0;
        const grow = () => ledger.add(blockOf(`p${next % 3}`, 60 * next++, 1200));
        for (let index = 0; index < blocks; index++) grow();
        let mirror = start();
        await time.asleep();
        for (const step of steps) {
          if (step === 'new block') grow();
          if (step === 'down') engine.script.push(DOWN);
          if (step === 'refuses') engine.script.push(new EngineRefusal('400 no'));
          ledger.fault = step === 'dies before its cursor is kept' ? DOWN : null;
          if (step.startsWith('dies')) {
            await time.pass();
            await mirror.stop();
            ledger.fault = null;
            mirror = start();
            await time.asleep();
          } else await time.pass();
        }
        ledger.fault = null;
        engine.script.length = 0;
        await time.pass();
        await mirror.stop();
        // An engine keeps one value for each instant of a series.
        const at = new Map(engine.taken.map((point) => [`${point.tags.probe} ${point.atMs}`, point.value]));
        expect(at).toEqual(new Map(pointsIn(ledger).map((point) => [`${point.tags.probe} ${point.atMs}`, point.value])));
        expect(ledger.cursor(CURSOR)).toBe(ledger.blocks.at(-1)?.seq ?? 0);
      }),
      { numRuns: 40 },
    );
  });
});
