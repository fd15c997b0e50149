/**
 * Every coded error of the program, in one place. `status` is the HTTP status it has at the door; `title` says what happened in
 * plain words and never changes for a code (RFC 9457). DEVELOPERS.md lists the same codes; a test holds the two in step.
 */
export const errorCodes = {
  'bad-request': { status: 400, title: 'The request is not understood' },
  'bad-entry': { status: 400, title: 'The entry is not well formed' },
  'sign-in-needed': { status: 401, title: 'Sign in first' },
  'bad-token': { status: 401, title: 'That access token is not valid here' },
  'wrong-origin': { status: 403, title: 'The request came from another site' },
  'wrong-role': { status: 403, title: 'Your role may not do that' },
  'not-found': { status: 404, title: 'There is no such thing here' },
  'entry-refused': { status: 409, title: 'The entry does not fit what the site knows' },
  'entry-questioned': { status: 409, title: 'That is possible, but more likely a slip; confirm it' },
  'too-large': { status: 413, title: 'The request is too large' },
  'wrong-type': { status: 415, title: 'The request has the wrong media type' },
  busy: { status: 429, title: 'That is being done already; try again in a moment' },
  'too-many': { status: 429, title: 'Too many attempts; wait a moment' },
  internal: { status: 500, title: 'Something went wrong inside; it is in the log' },
  'clock-not-set': { status: 503, title: 'The clock of the site computer is not set' },
  'not-recording': { status: 503, title: 'The ledger cannot be written; nothing is being recorded' },
} as const satisfies Record<string, { status: number; title: string }>;

export type ErrorCode = keyof typeof errorCodes;

/** One fault in what was sent: where it is and what would be right. */
export interface FaultAt {
  readonly path: string;
  readonly message: string;
  /** For a question: what to send in `confirmed` if it is right all the same. */
  readonly confirm?: string;
}

/** An error with a stable code, for everything that a caller can do something about. */
export class CodedError extends Error {
  readonly code: ErrorCode;
  readonly faults: readonly FaultAt[];

  constructor(code: ErrorCode, detail: string, faults: readonly FaultAt[] = []) {
    super(detail);
    this.name = 'CodedError';
    this.code = code;
    this.faults = faults;
  }
}
