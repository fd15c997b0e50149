import { maybeFahrenheit, millilitresOf } from '../../cure/mix.ts';
import type { Forecast } from '../../cure/outlook/air.ts';
import type { Entry, Statement } from '../entries.ts';
import { msOf, type QUESTION_CODES } from '../said/words.ts';
import type { Subject } from '../state/site.ts';
import type { Context } from './context.ts';

/** Something that is possible but more likely a slip: it is taken when its author confirms the code. */
export interface Question {
  readonly code: (typeof QUESTION_CODES)[number];
  readonly path: string;
  readonly message: string;
}

/** Two people who record the same thing do it within so long of each other. */
const TWICE_MS = 10 * 60_000;
/** A form that is sent twice, or a file, comes again within so long. */
const AGAIN_MS = 60_000;
/** Said of at most so long ago, it is about the present. */
const PRESENT_MS = 3_600_000;
/** Two say the same thing of instants no further apart. */
const SAME_TIME_MS = 30 * 60_000;
/** A sump is often put into the tool after work on it began; so long before is more likely a slip of the date. */
const BEFORE_SUMP_MS = 48 * 3_600_000;

/** What has to be asked before a statement without faults is taken; nothing that its author has confirmed. */
export function questionsOf(statement: Statement, context: Context): Question[] {
  const confirmed = new Set(statement.confirmed ?? []);
  return [
    ...wrongUnit(statement),
    ...wrongUnitOfForecast(statement, context),
    ...muchCatalyst(statement, context),
    ...tooCold(statement, context),
    ...earlyProof(statement, context),
    ...twice(statement, context),
    ...sameForecast(statement, context),
    ...beforeSump(statement, context),
    ...elsewhere(statement, context),
  ].filter(({ code }) => !confirmed.has(code));
}

/** Temperatures that people type, by field. */
function typedIn(statement: Statement): (readonly [path: string, celsius: number])[] {
  return Object.entries(fieldsOf(statement)).flatMap(([path, celsius]) =>
    celsius === undefined ? [] : [[path, celsius] as const],
  );
}

function fieldsOf(statement: Statement): Readonly<Record<string, number | undefined>> {
  switch (statement.kind) {
    case 'mix.recorded':
      return { resinCelsius: statement.resinCelsius, airCelsius: statement.airCelsius };
    case 'prep.signed':
      return { surfaceCelsius: statement.surfaceCelsius, airCelsius: statement.airCelsius };
    case 'heating.changed':
      return { holdCelsius: statement.holdCelsius };
    default:
      return {};
  }
}

function wrongUnit(statement: Statement): Question[] {
  return typedIn(statement).flatMap(([path, celsius]): Question[] => {
    const meant = maybeFahrenheit(celsius);
    if (meant !== null) {
      const message = `${celsius} °C is very warm; was it ${celsius} °F, which is ${meant.toFixed(1)} °C?`;
      return [{ code: 'maybe-fahrenheit', path, message }];
    }
    // Resin is carried warm: below freezing it is more likely °C in a field for °F.
    const typed = celsius * 1.8 + 32;
    if (path !== 'resinCelsius' || celsius >= 0 || typed < 0) return [];
    const message = `resin at ${celsius.toFixed(1)} °C (${typed.toFixed(1)} °F) is frozen stiff; was it ${typed.toFixed(1)} °C?`;
    return [{ code: 'maybe-celsius', path, message }];
  });
}

/** A forecast this far from what the air has been is more likely in another unit, if that brings it nearer by half. */
const FORECAST_OFF_CELSIUS = 12;

/** A forecast is in one unit throughout, so that one question will do for all of it. */
function wrongUnitOfForecast(statement: Statement, { seen }: Context): Question[] {
  if (statement.kind !== 'forecast.given') return [];
  const { hours } = statement;
  const mean = hours.reduce((sum, { celsius }) => sum + celsius, 0) / hours.length;
  const warmest = Math.max(...hours.map(({ celsius }) => celsius));
  if (maybeFahrenheit(warmest) !== null) {
    const message = `it goes up to ${warmest.toFixed(0)} °C; was it written in °F?`;
    return [{ code: 'maybe-fahrenheit', path: 'hours', message }];
  }
  const airMilliC = seen.airMilliC();
  if (airMilliC === null) return [];
  const off = Math.abs(mean - airMilliC / 1000);
  if (off < FORECAST_OFF_CELSIUS) return [];
  const away = `it is ${mean.toFixed(0)} °C on average, and the air here has been ${(airMilliC / 1000).toFixed(0)} °C`;
  if (Math.abs((mean - 32) / 1.8 - airMilliC / 1000) < off / 2)
    return [{ code: 'maybe-fahrenheit', path: 'hours', message: `${away}; was it written in °F?` }];
  if (Math.abs(mean * 1.8 + 32 - airMilliC / 1000) < off / 2)
    return [{ code: 'maybe-celsius', path: 'hours', message: `${away}; was it written in °C?` }];
  return [];
}

/** A band of catalyst is a few percent; this much is more likely another unit. */
const CATALYST_MUCH_PERCENT = 5;

function muchCatalyst(statement: Statement, { site }: Context): Question[] {
  if (statement.kind !== 'mix.recorded') return [];
  const { joint, resin, catalystMillilitres } = statement;
  const rules = site.joints.get(joint)?.schedule.definition.mix;
  if (rules === undefined || resin === undefined || catalystMillilitres === undefined) return [];
  const percent = (catalystMillilitres / millilitresOf(resin, rules.resinKgPerLitre)) * 100;
  if (percent <= CATALYST_MUCH_PERCENT) return [];
  const message = `${catalystMillilitres} mL in ${resin.value} ${resin.unit} is ${percent.toFixed(1)} %, far above any band; are the amounts and their units right?`;
  return [{ code: 'much-catalyst', path: 'catalystMillilitres', message }];
}

/** Work on a surface that is too cold to cure is possible, and hardly ever meant. */
function tooCold(statement: Statement, { site, seen, nowMs }: Context): Question[] {
  const { kind } = statement;
  if (kind !== 'prep.signed' && kind !== 'mix.recorded' && kind !== 'joint.laidUp' && kind !== 'joint.relaid') return [];
  const joint = site.joints.get(statement.joint);
  if (joint === undefined) return [];
  const { floorCelsius, title } = joint.schedule.definition;
  const signed = kind === 'prep.signed' ? statement.surfaceCelsius : undefined;
  // What the probes say now says nothing about work that is put on record long afterwards.
  const isNow = nowMs - msOf(statement.at) < PRESENT_MS;
  const celsius = signed ?? (isNow ? (seen.coldestMilliC(joint.joint) ?? Number.NaN) / 1000 : Number.NaN);
  if (!(celsius < floorCelsius)) return [];
  const message = `the joint is at ${celsius.toFixed(1)} °C, below ${floorCelsius} °C, where "${title}" does not cure; warm it first, or is it meant?`;
  return [{ code: 'too-cold', path: 'joint', message }];
}

/** Hardness says something of a cure that has got somewhere. */
function earlyProof(statement: Statement, { site, seen }: Context): Question[] {
  if (statement.kind !== 'proof.recorded' || !site.joints.has(statement.joint)) return [];
  const { stage, remainingHours } = seen.firstStage(statement.joint);
  if (remainingHours <= 0) return [];
  const message = `the joint still lacks ${remainingHours.toFixed(1)} warm hours for ${stage}; a proof this early says little about the cure`;
  return [{ code: 'early-proof', path: 'joint', message }];
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
    if (!isSameMoment(statement, entry)) continue;
    const message = `${entry.by.name} recorded the same ${Math.max(1, Math.round((nowMs - msOf(entry.recordedAt)) / 60_000))} min ago; is this another one?`;
    return [{ code: 'said-twice', path: 'kind', message }];
  }
  return [];
}

/** A program that repeats itself is heard elsewhere; of people one says the same air twice by a slip. */
function sameForecast(statement: Statement, { site, by, nowMs }: Context): Question[] {
  if (statement.kind !== 'forecast.given' || by.role === 'system') return [];
  const last = site.forecasts.findLast((forecast) => forecast.by.name === by.name);
  if (last === undefined || nowMs - last.recordedMs > AGAIN_MS || !isSameAir(statement.hours, last.hours)) return [];
  const message = 'you gave the same forecast less than a minute ago; is it meant to stand on record twice?';
  return [{ code: 'said-twice', path: 'kind', message }];
}

function isSameAir(hours: Extract<Statement, { kind: 'forecast.given' }>['hours'], given: Forecast): boolean {
  return (
    hours.length === given.atMs.length &&
    hours.every(
      ({ at, celsius, humidity }, index) =>
        msOf(at) === given.atMs[index] &&
        Math.round(celsius * 1000) === given.milliC[index] &&
        (humidity === undefined ? null : Math.round(humidity * 1000)) === given.humidityMilliPercent[index],
    )
  );
}

/** Whether two statements of a kind speak of about the same time, and of rain in the same place. */
function isSameMoment(statement: Statement, entry: Entry): boolean {
  if (statement.kind === 'rain.noted' && entry.kind === 'rain.noted' && statement.sump !== entry.sump) return false;
  const at = 'at' in statement ? statement.at : undefined;
  const before = 'at' in entry ? entry.at : undefined;
  return at === undefined || before === undefined || Math.abs(msOf(at) - msOf(before)) <= SAME_TIME_MS;
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
