import { once } from 'node:events';
import { readFileSync, statSync, writeFileSync } from 'node:fs';
import { type AddressInfo, createServer } from 'node:net';
import { join } from 'node:path';
import { describe, expect, test, vi } from 'vitest';
import { z } from 'zod';
import { JointView } from '../../edge/site/views/joint.ts';
import { addJoint, read } from '../support/api.ts';
import { runCli } from '../support/cli.ts';
import { publishWithMosquitto } from '../support/mosquitto.ts';
import { HOUR_MS, MINUTE_MS } from '../support/readings.ts';
import { spawnService, tempFolder } from '../support/service.ts';

const loopback = { WARMHOURS_HTTP: '127.0.0.1:0', WARMHOURS_MQTT: '127.0.0.1:0' };

describe('the main job', () => {
  /*
   * Polyester laminate, worked by hand. Full credit from 10 °C, none below 5 °C, between them exp[(E/R)(1/283.15 − 1/T)] with
   * E = 60 kJ/mol [P, upper end of the published range] and R = 8.314462618; 0.5 °C of probe uncertainty is taken off first; the
   * colder of two neighbouring readings counts for the time between them; more than 15 min between them count for nothing.
   *
   *   minutes since lay-up   readings    counts as   rate                              hours      warm hours
   *      0 …  360            12.0 °C     11.5 °C     1                                  6          6
   *    360 …  970             8.0 °C      7.5 °C     exp(−7216.34 · 3.1460e-5) = .7969  10.1667    8.1018
   *    970 … 1160             4.0 °C      3.5 °C     0, below the floor                  3.1667    0
   *   1160 … 1220            nothing                 0, unproven                         1         0
   *   1220 … 1520             6.5 °C      6.0 °C     exp(−7216.34 · 5.0606e-5) = .6941   5         3.4703
   *                                                                                               17.572
   *
   * Twelve of them are full 6 h / .7969 = 7.529 h after minute 360.
   */
  const history: readonly { readonly fromMinute: number; readonly toMinute: number; readonly celsius: number }[] = [
    { fromMinute: 0, toMinute: 360, celsius: 12 },
    { fromMinute: 370, toMinute: 970, celsius: 8 },
    { fromMinute: 980, toMinute: 1160, celsius: 4 },
    { fromMinute: 1220, toMinute: 1520, celsius: 6.5 },
  ];
  const rate = (celsius: number) => Math.exp((60_000 / 8.314462618) * (1 / 283.15 - 1 / (celsius + 273.15)));
  const warmHours = 6 + (610 / 60) * rate(7.5) + 5 * rate(6);

  test('a stranger’s client publishes, and the joint has the hours that pencil and paper give it', async () => {
    await using service = await spawnService({ settings: { WARMHOURS_PROBE_AUTH: 'required', WARMHOURS_SITE: 'kestrel' } });
    const layUpMs = Math.floor(Date.now() / 1000) * 1000 - 26 * HOUR_MS;
    await addJoint(service, { joint: 'entry-2', probes: ['mat-7'], laidUpMs: layUpMs });
    const key = readFileSync(join(service.dataFolder, 'probe-key'), 'utf8').trim();
    for (const { fromMinute, toMinute, celsius } of history) {
      const samples = Array.from({ length: (toMinute - fromMinute) / 10 + 1 }, (_, index) => ({
        n: 'temperature',
        t: index * 600,
        // Every interval has one end at the value itself, which governs; a probe that never moved would be taken for frozen.
        v: celsius + (index % 2) * 0.125,
      }));
      const base = { bn: 'urn:dev:mac:0024befffe804ff1:', bt: layUpMs / 1000 + fromMinute * 60, bu: 'Cel' };
      await publishWithMosquitto({
        port: service.mqttPort,
        topic: 'cure/kestrel/probe/mat-7/senml',
        payload: JSON.stringify([{ ...base, ...samples[0] }, ...samples.slice(1)]),
        qos: 1,
        username: 'mat-7',
        password: key,
      });
    }
    const joint = () => read(service, '/api/joints/entry-2', JointView);
    await vi.waitFor(async () => expect((await joint()).warmHours).toBeGreaterThan(17), 5_000);
    const view = await joint();
    expect(warmHours).toBeCloseTo(17.572, 3);
    expect(Math.abs(view.warmHours - warmHours)).toBeLessThan(0.001);
    // The table that the hours are counted with is never above the law.
    expect(view.warmHours).toBeLessThanOrEqual(warmHours);
    expect(view.coldHours).toBeCloseTo(190 / 60, 9);
    // The silence since the last reading has outlasted the gap limit, so it counts too.
    const silenceHours = (Date.parse(view.asOf) - Date.parse(view.provenUntil ?? '')) / 3_600_000;
    expect(view.unprovenHours - silenceHours).toBeCloseTo(1, 6);
    expect(view).toMatchObject({
      phase: 'stressReady',
      schedule: 'polyester-laminate',
      conditions: ['unproven'],
      provisionalHours: 0,
    });
    const [stress, hydro] = view.stages;
    const reachedHours = (Date.parse(stress?.reachedAt ?? '') - layUpMs) / HOUR_MS;
    expect(Math.abs(reachedHours - (6 + 6 / rate(7.5)))).toBeLessThan(0.001);
    expect(stress?.provenBy).toEqual({ probe: 'mat-7', at: new Date(layUpMs + 820 * MINUTE_MS).toISOString() });
    expect(hydro).toMatchObject({ stage: 'hydro', reachedAt: null });
    expect(hydro?.remainingHours).toBeCloseTo(24 - warmHours, 2);

    // The same after a restart: all of it is on the disk.
    expect(await service.stop()).toBe(0);
    await using again = await spawnService({ dataFolder: service.dataFolder, settings: { WARMHOURS_SITE: 'kestrel' } });
    expect(await read(again, '/api/joints/entry-2', JointView)).toMatchObject({
      warmHours: view.warmHours,
      stages: [{ reachedAt: stress?.reachedAt }, {}],
    });
  });
});

describe('serve', () => {
  test('makes its secrets at the first start, tells the token once, and stops in peace', async () => {
    using folder = tempFolder();
    const dataFolder = join(folder.path, 'made', 'by', 'it');
    const settings = { WARMHOURS_TOKEN: '', WARMHOURS_PROBE_AUTH: 'required' };
    let token = '';
    for (const start of ['first', 'second']) {
      await using service = await spawnService({ dataFolder, settings });
      token = readFileSync(join(dataFolder, 'access-token'), 'utf8').trim();
      const health = await read({ ...service, token }, '/api/health', z.looseObject({ recording: z.boolean() }));
      expect(health).toMatchObject({ recording: true });
      expect(await service.stop()).toBe(0);
      expect(service.out().includes(token), start).toBe(start === 'first');
      expect(service.out()).not.toContain(readFileSync(join(dataFolder, 'probe-key'), 'utf8').trim());
      expect(service.err()).toBe('');
    }
    expect(token.length).toBeGreaterThanOrEqual(32);
    for (const [path, mode] of [
      ['access-token', 0o600],
      ['probe-key', 0o600],
      ['', 0o700],
    ] as const)
      expect(statSync(join(dataFolder, path)).mode & 0o777).toBe(mode);
  });

  test('takes settings from a file, and the environment before it', async () => {
    using folder = tempFolder();
    const path = join(folder.path, 'settings.json');
    const token = 'from-the-file'.repeat(3);
    writeFileSync(path, JSON.stringify({ WARMHOURS_SITE: 'no blank', WARMHOURS_TOKEN: token }));
    const wrong = await runCli(['serve', '--config', path], { ...loopback, WARMHOURS_DATA: folder.path });
    expect([wrong.code, wrong.err]).toEqual([2, expect.stringContaining('WARMHOURS_SITE: use letters')]);

    const settings = { WARMHOURS_SITE: 'from-environment', WARMHOURS_TOKEN: '' };
    await using service = await spawnService({ dataFolder: folder.path, args: ['--config', path], settings });
    const site = await read({ ...service, token }, '/api/site', z.looseObject({ site: z.string() }));
    expect(site).toMatchObject({ site: 'from-environment' });
  });

  test('tells every fault of its settings at once and starts nothing', async () => {
    using folder = tempFolder();
    const { code, out, err } = await runCli(['serve'], {
      WARMHOURS_DATA: join(folder.path, 'data'),
      WARMHOURS_HTTP: 'everywhere',
      WARMHOURS_PROBE_AUTH: 'open',
      WARMHOURS_SPEED: 'fast',
    });
    expect([code, out]).toEqual([2, '']);
    for (const key of ['WARMHOURS_HTTP: ', 'WARMHOURS_PROBE_AUTH: "open"', 'WARMHOURS_SPEED: no such setting'])
      expect(err).toContain(key);
    expect(() => statSync(join(folder.path, 'data'))).toThrow(/ENOENT/);
  });

  test.each(['HTTP', 'MQTT'])('says which port is taken (%s)', async (which) => {
    using folder = tempFolder();
    const squatter = createServer().listen(0, '127.0.0.1');
    await once(squatter, 'listening');
    const { port } = squatter.address() as AddressInfo;
    const { code, err } = await runCli(['serve'], {
      ...loopback,
      WARMHOURS_DATA: folder.path,
      [`WARMHOURS_${which}`]: `127.0.0.1:${port}`,
    });
    squatter.close();
    expect([code, err]).toEqual([
      1,
      expect.stringMatching(`^serve: ${which} cannot listen on 127\\.0\\.0\\.1:${port}: .*EADDRINUSE`),
    ]);
  });

  test('does not start on a ledger that it cannot read, and leaves it alone', async () => {
    using folder = tempFolder();
    const path = join(folder.path, 'ledger.db');
    writeFileSync(path, 'not a ledger at all'.repeat(400));
    const before = readFileSync(path);
    const { code, err } = await runCli(['serve'], { ...loopback, WARMHOURS_DATA: folder.path });
    expect([code, err]).toEqual([1, expect.stringMatching(/^serve: .*not a database/)]);
    expect(readFileSync(path).equals(before)).toBe(true);
  });

  test('does not start a second time on the same folder, and the first goes on', async () => {
    await using first = await spawnService();
    const { code, err } = await runCli(['serve'], { ...loopback, WARMHOURS_DATA: first.dataFolder });
    expect([code, err]).toEqual([1, expect.stringMatching(/^serve: another Warmhours runs on the folder \S+; stop it first/)]);
    await addJoint(first);
    expect(await first.stop()).toBe(0);
  });

  test('does not start where it may not write', async () => {
    using folder = tempFolder();
    const path = join(folder.path, 'taken');
    writeFileSync(path, '');
    const { code, err } = await runCli(['serve'], { ...loopback, WARMHOURS_DATA: path });
    expect([code, err]).toEqual([1, expect.stringMatching(/^serve: .*EEXIST/)]);
  });
});

describe('the command line', () => {
  test.each([
    [[], 2, 'usage: '],
    [['brew'], 2, 'no verb "brew"'],
    [['toString'], 2, 'no verb "toString"'],
    [['--help'], 0, 'usage: '],
    [['serve', '--port', '1'], 2, "Unknown option '--port'"],
    [['serve', 'now'], 2, 'now'],
  ])('%j ends with %i and says why', async (args, code, words) => {
    const run = await runCli(args);
    expect([run.code, run.err]).toEqual([code, expect.stringContaining(words)]);
  });

  test('tells how to serve', async () => {
    const { code, out } = await runCli(['serve', '--help']);
    expect([code, out]).toEqual([0, expect.stringContaining('--config FILE.json')]);
  });
});
