/** What one check came to: the value that later checks build on and a sentence, or what is wrong and what that means. */
export type Looked<T> =
  | { readonly ok: true; readonly value: T; readonly detail: string }
  | { readonly ok: false; readonly detail: string; readonly consequence: string };

export function passed<T>(value: T, detail: string): Looked<T> {
  return { ok: true, value, detail };
}

/** `detail` says what is wrong and where, `consequence` what follows for somebody who has to decide on it. Both are sentences. */
export function failed(detail: string, consequence: string): Looked<never> {
  return { ok: false, detail, consequence };
}
