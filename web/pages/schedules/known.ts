import { signal } from '@preact/signals';
import { builtInSchedules } from '../../../edge/cure/builtIns.ts';
import type { Schedule } from '../../../edge/cure/schedule.ts';
import { permittedRoles } from '../../../edge/site/refusals/permits.ts';
import { builtInSequences, type Sequence } from '../../../edge/site/sequence.ts';
import { call, type Problem } from '../../api/call.ts';
import type { Schedules, StatementSent } from '../../api/shapes.ts';
import { session } from '../../live/session.ts';

/** The schedules and orders of work in force; null until they were asked for. */
export const schedules = signal<readonly Schedule[] | null>(null);
export const sequences = signal<readonly Sequence[] | null>(null);
/** Why they could not be had. */
export const knownProblem = signal<Problem | null>(null);

/** Asks for both anew. */
export async function loadKnown(): Promise<void> {
  const [rules, orders] = await Promise.all([
    call<Schedules>('GET', '/api/schedules'),
    call<{ readonly sequences: readonly Sequence[] }>('GET', '/api/sequences'),
  ]);
  if (rules.ok) schedules.value = rules.value.schedules;
  if (orders.ok) sequences.value = orders.value.sequences;
  knownProblem.value = !rules.ok ? rules.problem : !orders.ok ? orders.problem : null;
}

export const isBuiltIn = ({ name, version }: Schedule) =>
  builtInSchedules.some((each) => each.name === name && each.version === version);

export const isBuiltInOrder = ({ name, version }: Sequence) =>
  builtInSequences.some((each) => each.name === name && each.version === version);

/** May whoever is signed in make such a statement? */
export function mayState(kind: StatementSent['kind']): boolean {
  const who = session.value;
  return typeof who === 'object' && permittedRoles(kind).includes(who.role);
}

/** Who is signed in, to stand beside what is written down. */
export const signedInAs = () => (typeof session.value === 'object' ? session.value.name : '');

/** A schedule's title where only its name is known. */
export const scheduleTitle = (name: string) => schedules.value?.find((each) => each.name === name)?.title ?? name;
