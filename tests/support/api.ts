import type { z } from 'zod';
import type { Statement } from '../../edge/site/entries.ts';
import { DEFAULT_UNCERTAINTY_CELSIUS } from '../../edge/site/said/instruments.ts';
import { Problem } from '../../server/problem.ts';
import type { Reachable } from './service.ts';

export interface Asking {
  readonly method?: 'GET' | 'POST' | 'DELETE';
  /** Sent as JSON. */
  readonly body?: unknown;
  readonly headers?: Readonly<Record<string, string>>;
  /** Null: none is sent. Left out: the service's own. */
  readonly token?: string | null;
}

/** One request to a running service, with its access token unless told otherwise. */
export function ask(
  service: Reachable,
  path: string,
  { method = 'GET', body, headers = {}, token }: Asking = {},
): Promise<Response> {
  const bearer = token === undefined ? service.token : token;
  return fetch(`${service.httpUrl}${path}`, {
    method,
    headers: {
      ...(bearer === null ? {} : { authorization: `Bearer ${bearer}` }),
      ...(body === undefined ? {} : { 'content-type': 'application/json' }),
      ...headers,
    },
    ...(body === undefined ? {} : { body: JSON.stringify(body) }),
  });
}

/** What a path answers, checked against its schema. Throws with the answer for any status but 200. */
export async function read<T>(service: Reachable, path: string, shape: z.ZodType<T>): Promise<T> {
  const response = await ask(service, path);
  if (response.status !== 200) throw new Error(`GET ${path}: ${response.status} ${await response.text()}`);
  return shape.parse(await response.json());
}

/** Appends an entry. Throws with the answer when it is not taken. */
export async function say(service: Reachable, statement: unknown): Promise<{ seq: number; hash: string }> {
  const response = await ask(service, '/api/entries', { method: 'POST', body: statement });
  if (response.status !== 201) throw new Error(`${response.status} ${await response.text()}`);
  return (await response.json()) as { seq: number; hash: string };
}

/** The problem document of a refusal; its media type and its status are checked on the way. */
export async function problemOf(response: Response): Promise<z.infer<typeof Problem>> {
  const type = response.headers.get('content-type') ?? '';
  if (!type.startsWith('application/problem+json')) throw new Error(`no problem document but ${type}: ${await response.text()}`);
  const problem = Problem.parse(await response.json());
  if (problem.status !== response.status) throw new Error(`status ${response.status} says ${problem.status} in its document`);
  return problem;
}

export interface JointPlan {
  readonly joint?: string;
  readonly probes?: readonly string[];
  readonly schedule?: string;
  readonly uncertaintyCelsius?: number;
  readonly laidUpMs?: number;
}

/** The statements that bring a joint with registered probes about, in a sump of its own. */
export function statementsFor(plan: JointPlan): Statement[] {
  const { joint = 'j1', probes = ['p1'], schedule = 'polyester-laminate', laidUpMs } = plan;
  const uncertaintyCelsius = plan.uncertaintyCelsius ?? DEFAULT_UNCERTAINTY_CELSIUS;
  return [
    ...probes.map(
      (probe) =>
        ({
          kind: 'probe.registered',
          probe,
          role: 'material',
          sensor: { kind: 'digital' },
          uncertaintyCelsius,
        }) satisfies Statement,
    ),
    { kind: 'sump.added', sump: `sump-of-${joint}`, label: `Sump of ${joint}` },
    { kind: 'joint.added', joint, sump: `sump-of-${joint}`, label: `Joint ${joint}`, schedule, probes: [...probes] },
    ...(laidUpMs === undefined
      ? []
      : [{ kind: 'joint.laidUp', joint, at: new Date(laidUpMs).toISOString() } satisfies Statement]),
  ];
}

/** Sets a joint up over HTTP. */
export async function addJoint(service: Reachable, plan: JointPlan = {}): Promise<void> {
  for (const statement of statementsFor(plan)) await say(service, statement);
}
