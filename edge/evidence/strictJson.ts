import { canonicalJson } from './canonical.ts';

const DEPTH_MAX = 100;

/**
 * What matters of a JSON text that is already known to be well formed: a string and whether it names a member, a number, the
 * brackets. The string is matched without choice, so that a long one takes no stack.
 */
const TOKENS = /("[^"\\]*(?:\\.[^"\\]*)*")([ \t\r\n]*:)?|-?\d[\d.eE+-]*|[{}[\]]/g;

/**
 * The value of a JSON text in which nothing can be read in two ways (RFC 7493, I-JSON): no member twice in one object, no lone
 * surrogates, no number beyond the range of a double, at most 100 levels.
 *
 * @throws SyntaxError with a sentence that says what is wrong, and at which place in the text (characters, from 0).
 */
export function parseStrict(text: string): unknown {
  if (!text.isWellFormed()) throw new SyntaxError('the text holds a lone surrogate');
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (cause) {
    // Engines word their messages differently, and a verdict reads the same everywhere.
    throw new SyntaxError('the text is not JSON', { cause });
  }
  refuseDoubtful(text);
  return value;
}

/**
 * As `parseStrict`, of a text that is its own canonical form (RFC 8785): one value, one text.
 *
 * @throws SyntaxError as `parseStrict`, or with the place from which the canonical form differs.
 */
export function parseCanonical(text: string): unknown {
  const value = parseStrict(text);
  const canonical = canonicalJson(value);
  if (canonical === text) return value;
  let place = 0;
  while (canonical[place] === text[place]) place++;
  throw new SyntaxError(`the text is not in canonical form (RFC 8785) from place ${place} on`);
}

function refuseDoubtful(text: string): void {
  /** Of each bracket that is open: the names so far in an object, null in an array. */
  const open: (Set<string> | null)[] = [];
  for (const { 0: token, 1: string, 2: colon, index } of text.matchAll(TOKENS)) {
    if (string !== undefined) {
      const said = string.includes('\\') ? String(JSON.parse(string)) : string.slice(1, -1);
      if (!said.isWellFormed()) throw new SyntaxError(`the string at place ${index} holds a lone surrogate`);
      const names = open.at(-1);
      if (colon === undefined || !names) continue;
      if (names.has(said))
        throw new SyntaxError(`the member ${JSON.stringify(said)} stands twice in one object, at place ${index}`);
      names.add(said);
    } else if (token === '{' || token === '[') {
      open.push(token === '{' ? new Set() : null);
      if (open.length > DEPTH_MAX) throw new SyntaxError(`the value at place ${index} is nested deeper than ${DEPTH_MAX} levels`);
    } else if (token === '}' || token === ']') {
      open.pop();
    } else if (!Number.isFinite(Number(token))) {
      throw new SyntaxError(`the number at place ${index} is beyond the range of a double`);
    }
  }
}
