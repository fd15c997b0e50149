import { maybeFahrenheit } from '../../cure/mix.ts';
import type { Entry, Statement } from '../entries.ts';
import { msOf } from '../said/words.ts';
import type { Subject } from '../state/site.ts';
import type { Context } from './context.ts';

/** Something that is possible but more likely a slip: it is taken when its author confirms the code. */
export interface Question {
  readonly code: 'maybe-fahrenheit' | 'said-twice' | 'before-sump' | 'probe-elsewhere';
  readonly path: string;
  readonly message: string;
}

/** Two people who record the same thing do it within so long of each other. */
const TWICE_MS = 10 * 60_000;
/** A sump is often put into the tool after work on it began; so long before is more likely a slip of the date. */
const BEFORE_SUMP_MS = 48 * 3_600_000;

/** What has to be asked before a statement without faults is taken; nothing that its author has confirmed. */
export function questionsOf(statement: Statement, context: Context): Question[] {
  const confirmed = new Set(statement.confirmed ?? []);
  return [
    ...fahrenheit(statement),
    ...twice(statement, context),
    ...beforeSump(statement, context),
    ...elsewhere(statement, context),
  ].filter(({ code }) => !confirmed.has(code));
}

function fahrenheit(statement: Statement): Question[] {
  const named: [path: string, celsius: number | undefined][] =
    statement.kind === 'mix.recorded'
      ? [
          ['resinCelsius', statement.resinCelsius],
          ['airCelsius', statement.airCelsius],
        ]
      : statement.kind === 'prep.signed'
        ? [
            ['surfaceCelsius', statement.surfaceCelsius],
            ['airCelsius', statement.airCelsius],
          ]
        : [];
  return named.flatMap(([path, celsius]) => {
    const meant = celsius === undefined ? null : maybeFahrenheit(celsius);
    if (meant === null) return [];
    const message = `${celsius} °C is very warm; was it ${celsius} °F, which is ${meant.toFixed(1)} °C?`;
    return [{ code: 'maybe-fahrenheit', path, message }];
  });
}

const RECORDED_ONCE: ReadonlySet<Statement['kind']> = new Set([
  'joint.laidUp',
  'joint.relaid',
  'prep.signed',
  'mix.recorded',
  'rain.noted',
  'proof.recorded',
  'hydrotest.recorded',
]);

function twice(statement: Statement, { site, by, nowMs }: Context): Question[] {
  if (!RECORDED_ONCE.has(statement.kind)) return [];
  const subject: Subject<Entry> | undefined =
    'joint' in statement && statement.joint !== undefined
      ? site.joints.get(statement.joint)
      : statement.kind === 'hydrotest.recorded'
        ? site.sumps.get(statement.sump)
        : site;
  if (subject === undefined) return [];
  for (const [seq, entry] of [...subject.said].reverse()) {
    if (entry.kind !== statement.kind || subject.withdrawals.has(seq) || entry.by.name === by.name) continue;
    if (nowMs - msOf(entry.recordedAt) > TWICE_MS) return [];
    const message = `${entry.by.name} recorded the same ${Math.max(1, Math.round((nowMs - msOf(entry.recordedAt)) / 60_000))} min ago; is this another one?`;
    return [{ code: 'said-twice', path: 'kind', message }];
  }
  return [];
}

function beforeSump(statement: Statement, { site }: Context): Question[] {
  if (!('at' in statement) || statement.at === undefined) return [];
  const name =
    'joint' in statement && statement.joint !== undefined
      ? site.joints.get(statement.joint)?.sump
      : 'sump' in statement
        ? statement.sump
        : undefined;
  const sump = name === undefined ? undefined : site.sumps.get(name);
  if (sump === undefined || msOf(statement.at) >= sump.addedMs - BEFORE_SUMP_MS) return [];
  const message = `lies long before sump "${sump.label}" was put on record, ${new Date(sump.addedMs).toISOString()}; is the date right?`;
  return [{ code: 'before-sump', path: 'at', message }];
}

function elsewhere(statement: Statement, { site, seen }: Context): Question[] {
  if (statement.kind !== 'joint.added' && statement.kind !== 'joint.assigned') return [];
  return statement.probes.flatMap((probe, index) => {
    const other = [...site.joints.values()].find(
      ({ joint, assignments }) => joint !== statement.joint && assignments.at(-1)?.probes.includes(probe) && !seen.isDone(joint),
    );
    if (other === undefined) return [];
    const message = `joint "${other.label}" counts on probe "${probe}" now; can it be on both?`;
    return [{ code: 'probe-elsewhere', path: `probes.${index}`, message }];
  });
}
