import type { FaultAt } from '../../edge/errors.ts';
import { text } from '../text/text.ts';

/** What went wrong with a call, in the shape of RFC 9457. `status` 0: no answer came at all. */
export interface Problem {
  readonly status: number;
  readonly code: string;
  readonly title: string;
  readonly detail: string;
  readonly faults: readonly FaultAt[];
  /** Of a question: says whether what was sent is right all the same. */
  readonly answer?: (isRight: boolean) => void;
}

export type Answered<T> = { readonly ok: true; readonly value: T } | { readonly ok: false; readonly problem: Problem };

/** Radio can fall silent without hanging up; who waits longer than this is told that no answer came. */
const ANSWER_LIMIT_MS = 20_000;

let signedOut: () => void = () => {};

/** `notice` runs whenever the server says that nobody is signed in. */
export function onSignedOut(notice: () => void): void {
  signedOut = notice;
}

/** One JSON call to our own server. Never throws: trouble comes back as a problem. */
export async function call<T>(method: 'GET' | 'POST' | 'DELETE', path: string, body?: unknown): Promise<Answered<T>> {
  const headers: Record<string, string> = { accept: 'application/json' };
  if (body !== undefined) headers['content-type'] = 'application/json';
  try {
    const response = await fetch(path, {
      method,
      headers,
      cache: 'no-store',
      signal: AbortSignal.timeout(ANSWER_LIMIT_MS),
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
    });
    const isJson = response.headers.get('content-type')?.includes('json') ?? false;
    const value: unknown = response.status === 204 || !isJson ? null : await response.json();
    if (response.ok) return { ok: true, value: value as T };
    const problem = problemOf(response.status, value);
    if (problem.code === 'sign-in-needed') signedOut();
    return { ok: false, problem };
  } catch {
    return {
      ok: false,
      problem: {
        status: 0,
        code: 'unreachable',
        title: text.problem.unreachable,
        detail: text.problem.unreachableDetail,
        faults: [],
      },
    };
  }
}

/** What a refusal says, whatever its body is. */
export function problemOf(status: number, value: unknown): Problem {
  const body = typeof value === 'object' && value !== null ? (value as Partial<Problem>) : {};
  return {
    status,
    code: body.code ?? 'unknown',
    title: body.title ?? text.problem.unknown(status),
    detail: body.detail ?? '',
    faults: Array.isArray(body.faults) ? body.faults : [],
  };
}
