import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { type Config, readConfig } from '../config.ts';
import { runDemo } from '../demo/run.ts';
import { startSite } from '../main.ts';
import type { Io } from './io.ts';

const USAGE = `usage: demo
Runs an invented winter job with simulated probes, on this machine only, in a folder that is gone afterwards.
WARMHOURS_HTTP (127.0.0.1:8080) and WARMHOURS_MQTT (127.0.0.1:1883) choose other ports.`;

/** Runs the invented winter job until it is told to stop. Exit code 2: wrong settings; 1: it cannot start. */
export async function demo(args: string[], { out, err, signal }: Io): Promise<number> {
  let config: Config;
  try {
    const { values } = parseArgs({ args, options: { help: { type: 'boolean' } } });
    if (values.help) {
      out(USAGE);
      return 0;
    }
    config = readConfig({
      WARMHOURS_MQTT: '127.0.0.1:1883',
      WARMHOURS_SITE: 'fernhollow',
      ...process.env,
      WARMHOURS_PROBE_AUTH: 'open',
      WARMHOURS_DATA: mkdtempSync(join(tmpdir(), 'warmhours-demo-')),
    });
  } catch (fault) {
    err(`demo: ${(fault as Error).message}\n${USAGE}`);
    return 2;
  }
  try {
    // An invented job has no business among a real one's series, nor in its warnings or weather.
    const running = await startSite({ ...config, influx: null, forecast: null, webhook: null }, { log: err, signInAs: 'Demo' });
    out(`Warmhours demo: open ${running.httpUrl}  (stop with Ctrl-C)`);
    try {
      await runDemo({
        httpUrl: running.httpUrl,
        tokens: running.roleTokens,
        mqttUrl: `mqtt://${config.mqtt.host}:${running.mqttPort}`,
        site: config.site,
        nowMs: Date.now(),
        signal,
        log: out,
      });
    } finally {
      await running.stop();
    }
    return 0;
  } catch (fault) {
    err(`demo: ${(fault as Error).message}`);
    return 1;
  } finally {
    rmSync(config.dataFolder, { recursive: true, force: true });
  }
}
