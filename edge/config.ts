import { readFileSync } from 'node:fs';
import { z } from 'zod';
import { Id } from './site/entries.ts';

/** `host:port`, both given. */
const HostPort = z
  .string()
  .regex(/^(\[[0-9a-fA-F:]+\]|[^:\s/]+):\d{1,5}$/, 'use HOST:PORT, such as 127.0.0.1:8080')
  .transform((text) => {
    const colon = text.lastIndexOf(':');
    return { host: text.slice(0, colon).replace(/^\[|\]$/g, ''), port: Number(text.slice(colon + 1)) };
  })
  .refine(({ port }) => port <= 65_535, 'the port must be at most 65535');
export type HostPort = z.infer<typeof HostPort>;

const notYet = (text: string) => z.never({ error: `${text} is not in this version` }).optional();

/** Every setting, by the name it has in the environment or in a settings file. */
const Settings = z.strictObject({
  WARMHOURS_ROLE: z.literal('site', { error: 'this version has the role "site" only' }).default('site'),
  WARMHOURS_DATA: z.string().min(1).default('./data'),
  WARMHOURS_HTTP: HostPort.prefault('127.0.0.1:8080'),
  WARMHOURS_MQTT: HostPort.prefault('0.0.0.0:1883'),
  WARMHOURS_SITE: Id.default('site'),
  WARMHOURS_TOKEN: z.string().min(32, 'use 32 characters or more').max(512).optional(),
  WARMHOURS_PROBE_AUTH: z.enum(['required', 'open']).default('required'),
  WARMHOURS_INFLUX_URL: notYet('the time-series mirror'),
  WARMHOURS_INFLUX_ORG: notYet('the time-series mirror'),
  WARMHOURS_INFLUX_BUCKET: notYet('the time-series mirror'),
  WARMHOURS_INFLUX_TOKEN: notYet('the time-series mirror'),
  WARMHOURS_OFFICE_URL: notYet('replication to an office'),
  WARMHOURS_OFFICE_TOKEN: notYet('replication to an office'),
});

const Checked = Settings.refine(
  ({ WARMHOURS_PROBE_AUTH, WARMHOURS_MQTT }) =>
    WARMHOURS_PROBE_AUTH !== 'open' || typeof WARMHOURS_MQTT !== 'object' || isLoopback(WARMHOURS_MQTT.host),
  {
    path: ['WARMHOURS_PROBE_AUTH'],
    error: '"open" takes readings from anybody, so it needs WARMHOURS_MQTT on loopback, such as 127.0.0.1:1883',
    // Told beside the other faults, not after them.
    when: () => true,
  },
);

export interface Config {
  readonly dataFolder: string;
  readonly http: HostPort;
  readonly mqtt: HostPort;
  readonly site: string;
  /** Null: one is made at the first start and kept in the data folder. */
  readonly token: string | null;
  readonly probeAuth: 'required' | 'open';
}

export function isLoopback(host: string): boolean {
  return host === 'localhost' || host === '::1' || /^127(\.\d{1,3}){3}$/.test(host);
}

/**
 * Settings from a file (JSON, the same names) and the environment, which wins.
 * @throws Error that lists every fault, each with its key and what would be right.
 */
export function readConfig(environment: Readonly<Record<string, string | undefined>>, file?: string): Config {
  const fromFile = file === undefined ? {} : settingsIn(file);
  const fromEnvironment = Object.fromEntries(
    Object.entries(environment).filter(([key, value]) => key.startsWith('WARMHOURS_') && value !== undefined && value !== ''),
  );
  const checked = Checked.safeParse({ ...fromFile, ...fromEnvironment });
  if (!checked.success) {
    const known = Object.keys(Settings.shape).join(', ');
    const lines = checked.error.issues.map((issue) =>
      issue.code === 'unrecognized_keys'
        ? `${issue.keys.join(', ')}: no such setting; there are ${known}`
        : `${issue.path.join('.')}: ${issue.message}`,
    );
    throw new Error(`the settings need a correction:\n  ${lines.join('\n  ')}`);
  }
  const settings = checked.data;
  return {
    dataFolder: settings.WARMHOURS_DATA,
    http: settings.WARMHOURS_HTTP,
    mqtt: settings.WARMHOURS_MQTT,
    site: settings.WARMHOURS_SITE,
    token: settings.WARMHOURS_TOKEN ?? null,
    probeAuth: settings.WARMHOURS_PROBE_AUTH,
  };
}

function settingsIn(file: string): Record<string, unknown> {
  let text: string;
  try {
    text = readFileSync(file, 'utf8');
  } catch (fault) {
    throw new Error(`the settings file ${file} cannot be read: ${(fault as Error).message}`);
  }
  try {
    return z.record(z.string(), z.unknown()).parse(JSON.parse(text));
  } catch {
    throw new Error(`the settings file ${file} is not a JSON object of settings`);
  }
}
