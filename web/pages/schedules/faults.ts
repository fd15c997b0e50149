import type { z } from 'zod';
import type { FaultAt } from '../../../edge/errors.ts';
import type { Problem } from '../../api/call.ts';
import { difference, limit, temperature } from '../../look/format.ts';
import { unit } from '../../look/settings.ts';
import { setupText } from '../../text/setupText.ts';

type Issue = z.core.$ZodIssue;

const words = setupText.schedules.fault;

export type Checked<T> = { readonly value: T; readonly problem: null } | { readonly value: null; readonly problem: Problem };

/** Checks in the browser what is about to be sent, each fault with the path that it has in the statement. */
export function checked<T>(schema: z.ZodType<T>, said: unknown, under: string): Checked<T> {
  const result = schema.safeParse(said);
  if (result.success) return { value: result.data, problem: null };
  const faults = result.error.issues.map(
    (issue): FaultAt => ({ path: [under, ...issue.path].filter((step) => step !== '').join('.'), message: inWords(issue) }),
  );
  return { value: null, problem: notSent(faults) };
}

/** What the browser itself found wrong before anything was sent. */
export const notSent = (faults: readonly FaultAt[]): Problem => ({
  status: 0,
  code: 'not-sent',
  title: words.title,
  detail: '',
  faults,
});

/** What is wrong, in plain words and in the unit of this browser; a schema's own sentence where it has one. */
function inWords(issue: Issue): string {
  if (issue.code === 'invalid_type' && issue.expected === 'number') return words.number;
  if (issue.code === 'invalid_value') return words.choose;
  const ofTemperature = temperatureIn(issue);
  // The schema library's own words are for programmers.
  const isOwn = !/^(Too |Invalid )/.test(issue.message);
  if (isOwn && ofTemperature === null)
    return inOwnUnit(issue.message).replace(/\b[a-z]+Celsius\b/g, (field) => words.field[field] ?? field);
  const said = ofTemperature ?? String;
  if (issue.code === 'too_small') {
    if (issue.origin === 'string') return words.missing;
    if (issue.origin === 'array') return words.rowsLeast(String(issue.minimum));
    return issue.inclusive === false ? words.above(said(Number(issue.minimum))) : words.least(said(Number(issue.minimum)));
  }
  if (issue.code === 'too_big') {
    if (issue.origin === 'string') return words.lettersMost(String(issue.maximum));
    if (issue.origin === 'array') return words.rowsMost(String(issue.maximum));
    return words.most(said(Number(issue.maximum)));
  }
  return isOwn ? issue.message : words.missing;
}

const NUMBER = '[-−]?\\d+(?:\\.\\d+)?';
const celsiusIn = (number: string) => Number(number.replace('−', '-'));

/** A schema speaks of °C. Who types °F is told in °F, and not of a slip that only somebody typing °C can make. */
function inOwnUnit(said: string): string {
  if (unit.value === 'C') return said;
  const message = said.replace('; give °C, not °F', '');
  if (/°F/.test(message)) return /ice point/.test(message) ? words.icePoint : words.otherFigure;
  return message
    .replace(new RegExp(`((?:more than|at least|difference of|reference had) )(${NUMBER}) °C`, 'g'), (_, before, number) =>
      before.concat(difference(celsiusIn(number))),
    )
    .replace(new RegExp(`(${NUMBER}) (and|to) (${NUMBER}) °C`, 'g'), (_, low, joined, high) =>
      [temperature(celsiusIn(low)), joined, temperature(celsiusIn(high))].join(' '),
    )
    .replace(new RegExp(`(${NUMBER}) °C`, 'g'), (_, number) => temperature(celsiusIn(number)));
}

/** How a limit of this field is written if it is one of temperature; null: it is not. */
function temperatureIn({ code, path }: Issue): ((celsius: number) => string) | null {
  const field = String(path.at(-1) ?? '');
  if ((code !== 'too_small' && code !== 'too_big') || !/celsius$/i.test(field)) return null;
  return /uncertainty/i.test(field) ? difference : limit;
}
