import { z } from 'zod';
import { JointView } from '../site/views/joint.ts';
import { PEOPLE, type Person } from './people.ts';
import { decisionSaid, type Told } from './statements.ts';

/** Access token of each role that the demonstration's people sign in with. */
export type DeskTokens = Readonly<Record<Person['role'], string>>;

const Findings = z.object({ findings: JointView.shape.findings });

/** Where the demonstration's people make their entries: the site's API, each under a session of their own. */
export class Desk {
  readonly #httpUrl: string;
  readonly #signal: AbortSignal;
  readonly #cookies: ReadonlyMap<Person, string>;

  private constructor(httpUrl: string, signal: AbortSignal, cookies: ReadonlyMap<Person, string>) {
    this.#httpUrl = httpUrl;
    this.#signal = signal;
    this.#cookies = cookies;
  }

  /** Signs everybody in. Throws an Error with a plain message if the site does not let one of them in. */
  static async open(httpUrl: string, tokens: DeskTokens, signal: AbortSignal): Promise<Desk> {
    const cookies = new Map<Person, string>();
    for (const person of PEOPLE) {
      const answer = await fetch(new URL('/api/session', httpUrl), {
        method: 'POST',
        headers: { 'content-type': 'application/json' },
        body: JSON.stringify({ name: person.name, token: tokens[person.role] }),
        signal,
      });
      const text = await answer.text();
      const [cookie] = answer.headers.getSetCookie();
      if (answer.status !== 200 || cookie === undefined)
        throw new Error(`the site does not let ${person.name} in as ${person.role}: ${answer.status} ${text}`);
      cookies.set(person, cookie.split(';')[0] ?? '');
    }
    return new Desk(httpUrl, signal, cookies);
  }

  /** Makes the entries, in order. Throws an Error with a plain message at the first that is refused. */
  async tell(all: readonly Told[]): Promise<void> {
    for (const { by, said } of all) {
      const statement = 'decide' in said ? decisionSaid(said, await this.#findings(by, said.decide.joint)) : said;
      const answer = await this.#ask(by, 'POST', '/api/entries', statement);
      const text = await answer.text();
      if (answer.status !== 201)
        throw new Error(`the site refuses ${by.name}'s entry ${JSON.stringify(statement)}: ${answer.status} ${text}`);
    }
  }

  /** Signs everybody out. */
  async close(): Promise<void> {
    for (const person of this.#cookies.keys()) await (await this.#ask(person, 'DELETE', '/api/session')).text();
  }

  async #findings(by: Person, joint: string) {
    const answer = await this.#ask(by, 'GET', `/api/joints/${encodeURIComponent(joint)}`);
    if (answer.status !== 200) throw new Error(`the site does not show joint ${joint}: ${answer.status} ${await answer.text()}`);
    return Findings.parse(await answer.json()).findings;
  }

  #ask(person: Person, method: 'GET' | 'POST' | 'DELETE', path: string, body?: unknown): Promise<Response> {
    return fetch(new URL(path, this.#httpUrl), {
      method,
      headers: {
        cookie: this.#cookies.get(person) ?? '',
        ...(body === undefined ? {} : { 'content-type': 'application/json' }),
      },
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
      signal: this.#signal,
    });
  }
}
