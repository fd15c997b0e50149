import { createHash, randomBytes, timingSafeEqual } from 'node:crypto';
import cookie from '@fastify/cookie';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { Clock } from '../../edge/clock/clock.ts';
import { isLoopback } from '../../edge/config.ts';
import { CodedError } from '../../edge/errors.ts';
import type { By, Role } from '../../edge/site/entries.ts';

declare module 'fastify' {
  interface FastifyRequest {
    /** Who asks; null before sign-in. */
    by: By | null;
  }
  interface FastifyContextConfig {
    /** Answered without sign-in. */
    open?: boolean;
  }
}

export const SESSION_COOKIE = 'warmhours_session';
/** Who a program acts for, percent-encoded UTF-8: it stands in every entry that it makes. */
const NAME_HEADER = 'warmhours-name';
const NAME_LENGTH_MOST = 120;
/** A working day. */
const SESSION_MS = 12 * 3_600_000;
const SESSIONS_MOST = 1_000;
/** Wrong tokens within a minute before everybody has to wait. */
const FAILURES_MOST = 10;
const FAILURE_WINDOW_MS = 60_000;

/** One access token for each role that people and programs can have. */
export type Tokens = Readonly<{ admin: string } & Partial<Record<Exclude<Role, 'system'>, string>>>;

/** Who may enter, by bearer token or by session; the token says in which role. */
export class Door {
  /** By role: the token's digest. */
  readonly #tokens: readonly { readonly role: Role; readonly digest: Buffer }[];
  readonly #clock: Clock;
  readonly #automatic: By | null;
  readonly #sessions = new Map<string, { by: By; untilMonoMs: number }>();
  #failures: number[] = [];

  /** `automatic` signs everybody in: for a demo on loopback. */
  constructor(options: { tokens: Tokens; clock: Clock; automatic?: By | undefined }) {
    this.#tokens = Object.entries(options.tokens).map(([role, token]) => ({
      role: role as Role,
      digest: Buffer.from(digest(token)),
    }));
    this.#clock = options.clock;
    this.#automatic = options.automatic ?? null;
  }

  get automatic(): boolean {
    return this.#automatic !== null;
  }

  /** Opens a session; returns its secret. @throws CodedError `bad-token`, `too-many`. */
  signIn(name: string, token: string): { readonly secret: string; readonly by: By } {
    const by: By = { name, role: this.#roleOf(token) };
    const secret = randomBytes(24).toString('base64url');
    const oldest = this.#sessions.keys().next().value;
    if (this.#sessions.size >= SESSIONS_MOST && oldest !== undefined) this.#sessions.delete(oldest);
    this.#sessions.set(digest(secret), { by, untilMonoMs: this.#clock.now().monoMs + SESSION_MS });
    return { secret, by };
  }

  signOut(secret: string | undefined): void {
    if (secret !== undefined) this.#sessions.delete(digest(secret));
  }

  /** Who a request comes from; null for a stranger. @throws CodedError for a wrong token. */
  admit(request: FastifyRequest): By | null {
    const header = request.headers.authorization;
    if (header !== undefined) {
      const token = /^Bearer (\S+)$/i.exec(header)?.[1];
      if (token === undefined) throw new CodedError('bad-token', 'send the header as "Authorization: Bearer TOKEN"');
      return { name: namedIn(request.headers[NAME_HEADER]), role: this.#roleOf(token) };
    }
    const secret = request.cookies[SESSION_COOKIE];
    const session = secret === undefined ? undefined : this.#sessions.get(digest(secret));
    if (session !== undefined && session.untilMonoMs > this.#clock.now().monoMs) return session.by;
    // A page of another site that points its own name at this machine must not get in with the automatic sign-in.
    if (this.#automatic !== null && isLoopback(nameIn(request.host))) return this.#automatic;
    return null;
  }

  #roleOf(token: string): Role {
    const nowMs = this.#clock.now().monoMs;
    this.#failures = this.#failures.filter((failedMs) => nowMs - failedMs < FAILURE_WINDOW_MS);
    const given = Buffer.from(digest(token));
    // All are compared, so that the time taken says nothing about which one came near.
    const fitting = this.#tokens.filter((known) => timingSafeEqual(given, known.digest));
    if (fitting[0] !== undefined) return fitting[0].role;
    if (this.#failures.length >= FAILURES_MOST) throw new CodedError('too-many', 'too many wrong tokens; wait a minute');
    this.#failures.push(nowMs);
    throw new CodedError(
      'bad-token',
      'check the access token; the service printed it at its first start or took it from WARMHOURS_TOKEN',
    );
  }
}

/** @throws CodedError `bad-request` for a name that cannot be written down. */
function namedIn(header: string | string[] | undefined): string {
  if (header === undefined) return 'api';
  try {
    const name = decodeURIComponent(String(header)).trim();
    if (name.length > 0 && name.length <= NAME_LENGTH_MOST && name.isWellFormed()) return name;
  } catch {
    // Said below.
  }
  throw new CodedError('bad-request', `${NAME_HEADER}: use 1 to ${NAME_LENGTH_MOST} characters, percent-encoded UTF-8`);
}

function digest(secret: string): string {
  return createHash('sha256').update(secret).digest('hex');
}

/** Puts `door` before every route of `app` that is not marked open. */
export async function guard(app: FastifyInstance, door: Door): Promise<void> {
  await app.register(cookie);
  app.decorateRequest('by', null);
  app.addHook('onRequest', async (request) => {
    if (request.routeOptions.config.open === true) return;
    request.by = door.admit(request);
    if (request.by === null) throw new CodedError('sign-in-needed', 'send a bearer token, or sign in on the page');
    const crossSite = request.headers['sec-fetch-site'] === 'cross-site' || request.headers['sec-fetch-site'] === 'same-site';
    const origin = request.headers.origin;
    if (crossSite || (origin !== undefined && hostOf(origin) !== request.host))
      throw new CodedError('wrong-origin', 'this service answers its own pages and programs with a token only');
  });
}

/** The name or address in a Host header, without port and brackets (RFC 3986 §3.2.2). */
function nameIn(host: string): string {
  const [, address, name] = /^(?:\[([^\]]*)\]|([^:]*))(?::\d*)?$/.exec(host) ?? [];
  return address ?? name ?? '';
}

function hostOf(origin: string): string | null {
  return URL.canParse(origin) ? new URL(origin).host : null;
}
