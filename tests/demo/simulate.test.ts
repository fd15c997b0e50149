import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';

import { simulate } from '../../edge/verbs/simulate.ts';
import { samplesIn, TestBroker } from './broker.ts';

let broker: TestBroker;
beforeEach(async () => {
  broker = new TestBroker();
  await broker.start();
});
afterEach(() => broker.stop());

async function run(...args: string[]) {
  const stopping = new AbortController();
  const said = { out: [] as string[], err: [] as string[] };
  const io = { out: (line: string) => said.out.push(line), err: (line: string) => said.err.push(line), signal: stopping.signal };
  return { code: await simulate(args, io), ...said };
}

const sound = () => ['--mqtt', broker.url, '--site', 'yard'];

describe('simulate', () => {
  it('publishes live from every probe until its time is over', async () => {
    const { code, out, err } = await run(...sound(), '--probes', '3', '--every', '0.2', '--start-celsius=-3.5', '--for', '2');
    expect({ code, err }).toEqual({ code: 0, err: [] });
    const samples = samplesIn(broker.on('/senml'));
    for (const probe of ['sim-1', 'sim-2', 'sim-3']) {
      const own = samples.filter(({ topic }) => topic === `cure/yard/probe/${probe}/senml`);
      expect(own.length, probe).toBeGreaterThanOrEqual(3);
      expect(own.length, probe).toBeLessThanOrEqual(10);
      // It starts at −3.5 and a second changes nothing: sensor noise and step only.
      expect(own.every(({ celsius }) => Math.abs(celsius - -3.5) < 0.11)).toBe(true);
      expect(Math.abs((own[0]?.atMs ?? 0) - Date.now())).toBeLessThan(10_000);
    }
    expect(out.at(-1)).toBe(`simulate: ended; ${samples.length} readings acknowledged`);
    expect(broker.on('/status').map(({ payload }) => payload)).toEqual([...Array(3).fill('online'), ...Array(3).fill('offline')]);
  });

  it('ends cleanly when it is told to', async () => {
    const stopping = new AbortController();
    const out: string[] = [];
    const ended = simulate([...sound(), '--every', '0.5'], {
      out: (line) => out.push(line),
      err: () => undefined,
      signal: stopping.signal,
    });
    await vi.waitFor(() => expect(broker.on('/senml').length).toBeGreaterThan(0), { timeout: 15_000 });
    stopping.abort();
    expect(await ended).toBe(0);
    expect(out[0]).toContain('1 probe connected');
    expect(broker.on('/status').map(({ payload }) => payload)).toEqual(['online', 'offline']);
  });

  it('signs in with the key', async () => {
    await run(...sound(), '--password', 'k', '--for', '0.2');
    expect(broker.logins).toEqual([{ client: 'yard-sim-1', username: 'sim-1', password: 'k' }]);
  });

  it('says plainly that no broker is there', async () => {
    const { url, port } = broker;
    await broker.stop();
    const { code, err } = await run('--mqtt', url, '--site', 'yard', '--probes', '2');
    expect({ code, err }).toEqual({
      code: 1,
      err: [`simulate: probe sim-1 cannot connect to 127.0.0.1:${port}: nothing listens there`],
    });
  });

  it.each([
    [['--mqtt', 'http://x'], '--mqtt must be'],
    [['--mqtt', ''], '--mqtt must be'],
    [['--site', 'a/b'], '--site must be'],
    [['--probes', '0'], '--probes must be a whole number from 1 to 500, not "0"'],
    [['--probes', '2.5'], '--probes must be a whole number'],
    [['--every', 'often'], '--every must be a number from 0.1 to 3600, not "often"'],
    [['--every', ''], '--every must be a number'],
    [['--start-celsius', '90'], '--start-celsius must be a number from -40 to 85'],
    [['--for', '0'], '--for must be a number'],
    [['--password', ''], '--password must not be empty'],
    [['--colour', 'red'], "Unknown option '--colour'"],
    [['more'], "Unexpected argument 'more'"],
  ])('refuses %j and says what is right', async (args, message) => {
    const { code, err } = await run(...sound(), ...args);
    expect(code).toBe(2);
    expect(err.join('\n')).toContain(message);
    expect(broker.logins).toEqual([]);
  });

  it('names every fault at once', async () => {
    const { err } = await run('--probes', 'x', '--every', 'y');
    expect(err.map((line) => line.match(/--\w+/)?.[0])).toEqual(['--mqtt', '--site', '--probes', '--every', '--help']);
  });

  it('explains itself', async () => {
    const { code, out } = await run('--help');
    expect(code).toBe(0);
    for (const option of ['mqtt', 'site', 'probes', 'every', 'password', 'start-celsius', 'for'])
      expect(out.join('\n')).toContain(`--${option} `);
  });
});
