import { once } from 'node:events';
import { parseArgs } from 'node:util';
import { readConfig } from '../config.ts';
import { startSite } from '../main.ts';
import type { Io } from './io.ts';

const USAGE = 'usage: serve [--config FILE.json]   settings: WARMHOURS_… in the environment, or the same names in the file';

/** Runs a site until it is told to stop. Exit code 2: the settings are wrong; 1: it cannot start. */
export async function serve(args: string[], { out, err, signal }: Io): Promise<number> {
  let file: string | undefined;
  try {
    const { values } = parseArgs({ args, options: { config: { type: 'string' }, help: { type: 'boolean' } } });
    if (values.help) {
      out(USAGE);
      return 0;
    }
    file = values.config;
  } catch (fault) {
    err(`serve: ${(fault as Error).message}\n${USAGE}`);
    return 2;
  }
  let config: ReturnType<typeof readConfig>;
  try {
    config = readConfig(process.env, file);
  } catch (fault) {
    err(`serve: ${(fault as Error).message}`);
    return 2;
  }
  try {
    const running = await startSite(config, { log: (line) => err(`${new Date().toISOString()} ${line}`) });
    out(`Warmhours, site "${config.site}": ${running.httpUrl}`);
    out(`Probes publish to port ${running.mqttPort}, topic cure/${config.site}/probe/PROBE/senml`);
    if (running.tokenIsFresh)
      out(
        `Access token for the first sign-in (role admin, kept in ${config.dataFolder}/access-token): ${running.token}\nTokens for crew, quality and claims are beside it: crew-token, quality-token, claims-token`,
      );
    if (!signal.aborted) await once(signal, 'abort');
    await running.stop();
    return 0;
  } catch (fault) {
    err(`serve: ${(fault as Error).message}`);
    return 1;
  }
}
