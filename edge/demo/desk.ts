import { z } from 'zod';
import { JointView } from '../site/views/joint.ts';
import type { HeatingShown } from './heaters.ts';
import { PEOPLE, type Person, teo } from './people.ts';
import { decisionSaid, type Told } from './statements.ts';

/** Access token of each role that the demonstration's people sign in with. */
export type DeskTokens = Readonly<Record<Person['role'], string>>;

/** How long signing out may take at the end, ms. */
const FAREWELL_MS = 1_500;

const Findings = z.object({ findings: JointView.shape.findings });
const Heatings = z.object({
  joints: z.array(z.object({ joint: JointView.shape.joint, heating: JointView.shape.heating })),
});

/** Where the demonstration's people make their entries: the site's API, each under a session of their own. */
export class Desk {
  readonly #httpUrl: string;
  readonly #tokens: DeskTokens;
  readonly #signal: AbortSignal;
  readonly #cookies = new Map<Person, string>();

  private constructor(httpUrl: string, tokens: DeskTokens, signal: AbortSignal) {
    this.#httpUrl = httpUrl;
    this.#tokens = tokens;
    this.#signal = signal;
  }

  /** Signs everybody in. Throws an Error with a plain message if the site does not let one of them in. */
  static async open(httpUrl: string, tokens: DeskTokens, signal: AbortSignal): Promise<Desk> {
    const desk = new Desk(httpUrl, tokens, signal);
    for (const person of PEOPLE) await desk.#signIn(person);
    return desk;
  }

  /** Makes the entries, in order. Throws an Error with a plain message at the first that is refused. */
  async tell(all: readonly Told[]): Promise<void> {
    for (const { by, said } of all) {
      const statement = 'decide' in said ? decisionSaid(said, await this.#findings(by, said.decide.joint)) : said;
      const answer = await this.#ask(by, 'POST', '/api/entries', { body: statement });
      const text = await answer.text();
      if (answer.status !== 201)
        throw new Error(`the site refuses ${by.name}'s entry ${JSON.stringify(statement)}: ${answer.status} ${text}`);
    }
  }

  /** What the site shows of the heating of its joints. Throws an Error if it does not answer, or not that. */
  async heatings(): Promise<HeatingShown[]> {
    const asked = await this.#ask(teo, 'GET', '/api/site');
    // A session ends after a working day, and the demonstration may run longer.
    if (asked.status === 401) await this.#signIn(teo);
    const answer = asked.status === 401 ? await this.#ask(teo, 'GET', '/api/site') : asked;
    return Heatings.parse(await answer.json()).joints;
  }

  /** Signs everybody out, also when all else has been stopped. Of a site that is gone nobody has to be signed out. */
  async close(): Promise<void> {
    const signal = AbortSignal.timeout(FAREWELL_MS);
    for (const person of this.#cookies.keys()) {
      const answer = await this.#ask(person, 'DELETE', '/api/session', { signal }).catch(() => null);
      await answer?.body?.cancel();
    }
  }

  async #signIn(person: Person): Promise<void> {
    const { name, role } = person;
    const answer = await this.#ask(person, 'POST', '/api/session', { body: { name, token: this.#tokens[role] } });
    const text = await answer.text();
    const [cookie] = answer.headers.getSetCookie();
    if (answer.status !== 200 || cookie === undefined)
      throw new Error(`the site does not let ${name} in as ${role}: ${answer.status} ${text}`);
    this.#cookies.set(person, cookie.split(';')[0] ?? '');
  }

  async #findings(by: Person, joint: string) {
    const answer = await this.#ask(by, 'GET', `/api/joints/${encodeURIComponent(joint)}`);
    if (answer.status !== 200) throw new Error(`the site does not show joint ${joint}: ${answer.status} ${await answer.text()}`);
    return Findings.parse(await answer.json()).findings;
  }

  #ask(
    person: Person,
    method: 'GET' | 'POST' | 'DELETE',
    path: string,
    { body, signal = this.#signal }: Asking = {},
  ): Promise<Response> {
    const cookie = this.#cookies.get(person);
    return fetch(new URL(path, this.#httpUrl), {
      method,
      headers: {
        ...(cookie === undefined ? {} : { cookie }),
        ...(body === undefined ? {} : { 'content-type': 'application/json' }),
      },
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
      signal,
    });
  }
}

interface Asking {
  readonly body?: unknown;
  readonly signal?: AbortSignal;
}
