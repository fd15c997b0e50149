import { readFileSync } from 'node:fs';
import { z } from 'zod';
import { keyIn } from './relay/signature.ts';
import type { WebhookSettings } from './relay/webhook.ts';
import { Id } from './site/said/words.ts';
import type { ForecastSettings } from './weather/fetch.ts';
import { ForecastShape } from './weather/shape.ts';

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

/** A base address, without the slash at its end. */
const EngineUrl = z
  .string()
  .refine(isEngineUrl, 'use http://HOST:PORT or https://HOST:PORT, without sign-in, query or /api/v2')
  .transform((text) => new URL(text).href.replace(/\/+$/, ''));

/** What names a bucket or an organisation. */
const EngineName = z.string().regex(/^\P{C}{1,255}$/u, 'use 1 to 255 printable characters');

/** An address with all that belongs to it, which may hold a key. */
const WebUrl = z
  .string()
  .refine(isWebUrl, 'use http://… or https://… without sign-in')
  .transform((text) => new URL(text).href);

/** A field name of RFC 9110 and a printable value. */
const Header = z
  .string()
  .regex(/^[!#$%&'*+.^_`|~0-9A-Za-z-]{1,100}:[ \t]*[!-~](?:[ -~]{0,2000}[!-~])?$/, 'use NAME: VALUE in printable ASCII')
  .transform((text) => {
    const colon = text.indexOf(':');
    return { name: text.slice(0, colon), value: text.slice(colon + 1).trim() };
  });

/** In the environment as JSON text; in a file it may stand as it is. */
const Shape = z.preprocess((given) => (typeof given === 'string' ? jsonOr(given, given) : given), ForecastShape);

const WebhookKey = z
  .string()
  .max(512, 'use at most 512 characters')
  .refine(
    (text) => keyIn(text) !== null,
    'use base64 of 24 bytes or more, with whsec_ before it or not, or a text of 32 characters or more',
  )
  .transform((text) => keyIn(text) ?? new Uint8Array(0));

const INFLUX_KEYS = [
  'WARMHOURS_INFLUX_URL',
  'WARMHOURS_INFLUX_ORG',
  'WARMHOURS_INFLUX_BUCKET',
  'WARMHOURS_INFLUX_TOKEN',
] as const;

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
  WARMHOURS_INFLUX_URL: EngineUrl.optional(),
  WARMHOURS_INFLUX_ORG: EngineName.optional(),
  WARMHOURS_INFLUX_BUCKET: EngineName.optional(),
  WARMHOURS_INFLUX_TOKEN: z
    .string()
    .regex(/^[!-~]{1,512}$/, 'use printable ASCII without blanks')
    .optional(),
  WARMHOURS_FORECAST_URL: WebUrl.optional(),
  WARMHOURS_FORECAST_SHAPE: Shape.optional(),
  WARMHOURS_FORECAST_HEADER: Header.optional(),
  WARMHOURS_WEBHOOK_URL: WebUrl.optional(),
  WARMHOURS_WEBHOOK_SECRET: WebhookKey.optional(),
  WARMHOURS_OFFICE_URL: notYet('replication to an office'),
  WARMHOURS_OFFICE_TOKEN: notYet('replication to an office'),
});

type Key = keyof typeof Settings.shape;

/** What is told beside the other faults, not after them. */
const beside = { when: () => true };

/** The check that `key` is there when any of `others` is. */
function needs(key: Key, others: readonly Key[], error: string) {
  const check = (settings: { readonly [key in Key]?: unknown }) =>
    settings[key] !== undefined || others.every((other) => settings[other] === undefined);
  const told = { path: [key], error, ...beside };
  return [check, told] as const;
}

const Checked = Settings.refine(
  ({ WARMHOURS_PROBE_AUTH, WARMHOURS_MQTT }) =>
    WARMHOURS_PROBE_AUTH !== 'open' || typeof WARMHOURS_MQTT !== 'object' || isLoopback(WARMHOURS_MQTT.host),
  {
    path: ['WARMHOURS_PROBE_AUTH'],
    error: '"open" takes readings from anybody, so it needs WARMHOURS_MQTT on loopback, such as 127.0.0.1:1883',
    ...beside,
  },
)
  .refine(...needs('WARMHOURS_INFLUX_URL', INFLUX_KEYS, 'the time-series mirror needs it'))
  .refine(...needs('WARMHOURS_INFLUX_BUCKET', INFLUX_KEYS, 'the time-series mirror needs it'))
  .refine(
    ...needs('WARMHOURS_FORECAST_URL', ['WARMHOURS_FORECAST_SHAPE', 'WARMHOURS_FORECAST_HEADER'], 'fetching a forecast needs it'),
  )
  .refine(...needs('WARMHOURS_WEBHOOK_URL', ['WARMHOURS_WEBHOOK_SECRET'], 'the webhook needs it'))
  .refine(...needs('WARMHOURS_WEBHOOK_SECRET', ['WARMHOURS_WEBHOOK_URL'], 'the webhook needs it'));

/** A time-series engine that takes line protocol at the v2 write address. */
export interface InfluxSettings {
  readonly url: string;
  /** Empty where the engine knows none. */
  readonly org: string;
  readonly bucket: string;
  /** Empty where the engine asks for none. */
  readonly token: string;
}

export interface Config {
  readonly dataFolder: string;
  readonly http: HostPort;
  readonly mqtt: HostPort;
  readonly site: string;
  /** Null: one is made at the first start and kept in the data folder. */
  readonly token: string | null;
  readonly probeAuth: 'required' | 'open';
  /** Where sealed readings are mirrored to; null: nowhere. */
  readonly influx: InfluxSettings | null;
  /** Where forecasts are fetched; null: nowhere. */
  readonly forecast: ForecastSettings | null;
  /** Where word of warnings goes; null: nowhere. */
  readonly webhook: WebhookSettings | null;
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
    influx: influxIn(settings),
    forecast: forecastIn(settings),
    webhook: webhookIn(settings),
  };
}

function influxIn(settings: z.infer<typeof Settings>): InfluxSettings | null {
  const { WARMHOURS_INFLUX_URL: url, WARMHOURS_INFLUX_BUCKET: bucket } = settings;
  if (url === undefined || bucket === undefined) return null;
  return { url, bucket, org: settings.WARMHOURS_INFLUX_ORG ?? '', token: settings.WARMHOURS_INFLUX_TOKEN ?? '' };
}

function forecastIn(settings: z.infer<typeof Settings>): ForecastSettings | null {
  const { WARMHOURS_FORECAST_URL: url, WARMHOURS_FORECAST_SHAPE: shape, WARMHOURS_FORECAST_HEADER: header } = settings;
  return url === undefined ? null : { url, shape: shape ?? null, header: header ?? null };
}

function webhookIn({
  WARMHOURS_WEBHOOK_URL: url,
  WARMHOURS_WEBHOOK_SECRET: key,
}: z.infer<typeof Settings>): WebhookSettings | null {
  return url === undefined || key === undefined ? null : { url, key };
}

function isWebUrl(text: string): boolean {
  const url = URL.parse(text);
  return url !== null && /^https?:$/.test(url.protocol) && url.username === '' && url.password === '';
}

function jsonOr<T>(text: string, otherwise: T): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return otherwise;
  }
}

function isEngineUrl(text: string): boolean {
  const url = URL.parse(text);
  if (url === null || !/^https?:$/.test(url.protocol)) return false;
  return url.username === '' && url.password === '' && !/[?#]/.test(text) && !/\/api\/v2\/*$/.test(url.pathname);
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
