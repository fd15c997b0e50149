import { mkdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { buildApp } from '../server/app.ts';
import { Door } from '../server/auth/door.ts';
import { type Clock, machineClock } from './clock/clock.ts';
import { type Config, type InfluxSettings, isLoopback } from './config.ts';
import { HOUR_MS } from './cure/schedule.ts';
import { announceStates } from './intake/announce.ts';
import { startBroker } from './intake/broker.ts';
import { GroupCommit } from './intake/groupCommit.ts';
import { Keeper } from './keeper/keeper.ts';
import { claimFolder } from './ledger/claim.ts';
import { LedgerView } from './ledger/ledgerView.ts';
import { Mirror } from './relay/mirror.ts';
import { Webhook, type WebhookSettings } from './relay/webhook.ts';
import { keptSecret } from './secrets.ts';
import type { By } from './site/entries.ts';
import { LiveSite } from './tally/liveSite.ts';
import { ForecastFetch, type ForecastSettings } from './weather/fetch.ts';
import type { ForecastHours } from './weather/hours.ts';
import { hoursOnRecord } from './weather/onRecord.ts';
import { ForecastPrograms } from './weather/programs.ts';

const root = join(import.meta.dirname, '..');

/** The program's version, from package.json. */
export const VERSION: string = (JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')) as { version: string }).version;

/** A clock before this was never set. */
const CLOCK_PLAUSIBLE_FROM_MS = Date.UTC(2026, 0, 1);
/** Hours are sealed this long after they ended, so that readings on their way are in. */
const SEAL_GRACE_MS = 2 * 60_000;
const SEAL_CHECK_MS = 60_000;
/** With so many unsealed readings, those of hours that have ended are sealed without waiting for the next turn of the hour. */
const HOT_MOST = 250_000;
/** Who says what the fetched forecast says. */
const FETCHER: By = { name: 'forecast fetch', role: 'system' };
/** Conditions such as "no proof" come with time alone. */
const TICK_MS = 2_000;

export interface StartOptions {
  readonly log: (line: string) => void;
  /** Signs everybody on this machine in under this name: for the demo. */
  readonly signInAs?: string;
}

export interface RunningSite {
  readonly httpUrl: string;
  readonly mqttPort: number;
  /** Access token of the role admin, for the API and for sign-in … */
  readonly token: string;
  /** … and those of the other roles. */
  readonly roleTokens: Readonly<Record<'quality' | 'crew' | 'claims', string>>;
  /** Null when probes need none. */
  readonly probeKey: string | null;
  /** True on the start that made `token`. */
  readonly tokenIsFresh: boolean;
  readonly live: LiveSite;
  stop(): Promise<void>;
}

/**
 * Starts a site: ledger, folds, broker, API and pages, wired together. The only place that knows every part.
 * @throws Error in plain words when a part cannot start (ledger unusable, port taken); what had started is stopped again.
 */
export async function startSite(config: Config, { log, signInAs }: StartOptions): Promise<RunningSite> {
  if (signInAs !== undefined && !isLoopback(config.http.host)) throw new Error('signing everybody in is for loopback only');
  mkdirSync(config.dataFolder, { recursive: true, mode: 0o700 });
  const clock = machineClock(CLOCK_PLAUSIBLE_FROM_MS);
  const path = join(config.dataFolder, 'ledger.db');
  const stops: (() => void | Promise<void>)[] = [];
  const stop = async () => {
    const faults: unknown[] = [];
    for (const step of stops.splice(0).reverse())
      await Promise.resolve()
        .then(step)
        .catch((fault: unknown) => faults.push(fault));
    if (faults.length > 0) throw faults[0];
  };
  try {
    stops.push(claimFolder(config.dataFolder));
    const token = config.token === null ? keptSecret(config.dataFolder, 'access-token') : { secret: config.token, fresh: false };
    const roleToken = (role: string) => keptSecret(config.dataFolder, `${role}-token`).secret;
    const roleTokens = { quality: roleToken('quality'), crew: roleToken('crew'), claims: roleToken('claims') };
    const probeKey = config.probeAuth === 'open' ? null : keptSecret(config.dataFolder, 'probe-key').secret;
    const keeper = await Keeper.open(path, config.site);
    stops.push(() => keeper.close());
    const ledger = new LedgerView(path);
    stops.push(() => ledger.close());
    const live = await LiveSite.start({ site: config.site, keeper, ledger, clock, log, program: `warmhours ${VERSION}` });
    stops.push(() => live.stop());

    const commit = new GroupCommit({
      commit: (batch) => keeper.deliver(batch, live.boot),
      onKept: (kept) => live.kept(kept),
      onFault: (fault) => live.storageFailed(fault),
      clock,
    });
    stops.push(() => commit.drain());
    live.onChange(({ kind }) => {
      if (kind !== 'recording' || live.fault === null) return;
      log(`NOT RECORDING: the ledger cannot be written: ${live.fault.message}`);
      commit.halt(live.fault);
    });

    const programs = new ForecastPrograms({
      state: live.state,
      earlier: live.state.forecasts.filter(({ by }) => by.role === 'system' && by.name !== FETCHER.name),
      nowMs: () => live.nowMs,
      monoMs: () => clock.now().monoMs,
      say: (hours, source, speaker) => sayForecast(live, hours, source, { name: speaker, role: 'system' }),
    });
    const broker = await startBroker({
      ...config.mqtt,
      site: config.site,
      commit,
      probeKey,
      mappingsOf: (topic) => live.state.mappings.get(topic),
      onStatus: (probe, online) => live.probeStatus(probe, online),
      onForecast: (hours, source, speaker) => programs.take(hours, source, speaker),
      onFault: (fault) => log(`MQTT: ${fault.message}`),
    }).catch((fault: Error) => {
      throw new Error(`MQTT cannot listen on ${config.mqtt.host}:${config.mqtt.port}: ${fault.message}`);
    });
    stops.push(() => broker.close());
    stops.push(announceStates(live, broker));

    const fetching = config.forecast ? startFetch(config.forecast, live, log) : null;
    stops.push(() => fetching?.stop());

    const app = await buildApp({
      live,
      door: new Door({
        tokens: { admin: token.secret, ...roleTokens },
        clock,
        automatic: signInAs === undefined ? undefined : { name: signInAs, role: 'admin' },
      }),
      connection: { mqttPort: broker.port, probeAuth: config.probeAuth, probeKey },
      version: VERSION,
      webFolder: join(root, 'web', 'dist'),
      fetchStatus: () => fetching?.status() ?? null,
      logLevel: 'warn',
    });
    stops.push(() => app.close());
    const httpUrl = await app.listen({ host: config.http.host, port: config.http.port }).catch((fault: Error) => {
      throw new Error(`HTTP cannot listen on ${config.http.host}:${config.http.port}: ${fault.message}`);
    });

    stops.push(repeat(() => live.tick(), TICK_MS));
    const relayed = { keeper, ledger, live, clock, log };
    const mirror = config.influx === null ? null : await startMirror(config.influx, relayed);
    stops.push(() => mirror?.stop());
    const webhook = config.webhook ? startWebhook(config.webhook, relayed) : null;
    stops.push(() => webhook?.stop());
    stops.push(sealEveryHour(live, () => mirror?.wake()));
    return { httpUrl, mqttPort: broker.port, token: token.secret, roleTokens, tokenIsFresh: token.fresh, probeKey, live, stop };
  } catch (fault) {
    await stop().catch(() => undefined);
    throw fault;
  }
}

interface RelayParts {
  readonly keeper: Keeper;
  readonly ledger: LedgerView;
  readonly live: LiveSite;
  readonly clock: Clock;
  readonly log: (line: string) => void;
}

async function startMirror(settings: InfluxSettings, parts: RelayParts): Promise<Mirror> {
  // Most sites have no engine, and need not have its client in memory.
  const { InfluxEngine } = await import('./relay/influx.ts');
  return Mirror.start({ ...relayPartsOf(parts), ledger: parts.ledger, engine: new InfluxEngine(settings) });
}

function startWebhook(settings: WebhookSettings, parts: RelayParts): Webhook {
  const { ledger, live, clock } = parts;
  const webhook = Webhook.start({
    ...relayPartsOf(parts),
    settings,
    ledger: {
      cursor: (name) => ledger.cursor(name),
      entriesAfter: (after) => ledger.entries(after),
    },
    fetch,
    now: () => clock.now(),
  });
  live.onChange(({ kind }) => {
    if (kind === 'warnings') webhook.wake();
  });
  return webhook;
}

/** What every relay needs of the machine. */
function relayPartsOf({ keeper, live, log }: RelayParts) {
  return {
    site: live.site,
    keepCursor: (name: string, seq: number) =>
      keeper.keepCursor(name, seq).catch((fault: Error) => {
        live.storageFailed(fault);
        throw fault;
      }),
    sleep,
    chance: Math.random,
    log,
  };
}

function startFetch(settings: ForecastSettings, live: LiveSite, log: (line: string) => void): ForecastFetch {
  return ForecastFetch.start({
    settings,
    fetch,
    sleep,
    chance: Math.random,
    nowMs: () => live.nowMs,
    give: (hours, source) => sayForecast(live, hours, source, FETCHER),
    given: hoursOnRecord(live.state, FETCHER.name),
    log,
  });
}

async function sayForecast(live: LiveSite, hours: ForecastHours, source: string, by: By): Promise<void> {
  await live.say({ kind: 'forecast.given', hours, source }, by);
}

function sleep(ms: number, signal: AbortSignal): Promise<void> {
  return pause(ms, undefined, { signal }).catch(() => undefined);
}

function repeat(work: () => void, everyMs: number): () => void {
  const timer = setInterval(work, everyMs);
  return () => clearInterval(timer);
}

/** Seals at every start and whenever an hour has ended, or earlier when very much is waiting. */
function sealEveryHour(live: LiveSite, onSealed: () => void): () => Promise<void> {
  let sealedHour = -1;
  let pass: Promise<void> = Promise.resolve();
  const check = () => {
    const hour = Math.floor((live.nowMs - SEAL_GRACE_MS) / HOUR_MS);
    if (!live.recording || (hour === sealedHour && live.ledger.hotCount() < HOT_MOST)) return;
    sealedHour = hour;
    pass = live.seal(SEAL_GRACE_MS).then(onSealed, (fault: Error) => live.storageFailed(fault));
  };
  check();
  const stopChecking = repeat(check, SEAL_CHECK_MS);
  return () => {
    stopChecking();
    return pass;
  };
}
