import type { Entry } from '../../../edge/site/entries.ts';
import type { FindingCode } from '../../../edge/site/findings/catalogue.ts';
import type { Opened, OpenedJoint } from '../../evidence/opened.ts';
import { momentIn } from '../../evidence/when.ts';
import { temperature } from '../../look/format.ts';
import { personText } from '../../text/personText.ts';
import { storyText as words } from '../../text/storyText.ts';
import { text } from '../../text/text.ts';

/** One thing that happened. */
export interface StoryLine {
  readonly key: string;
  readonly atMs: number;
  /** When it was put on record, where that was much later; null otherwise, and for what the readings proved. */
  readonly recordedMs: number | null;
  readonly title: string;
  readonly said: readonly string[];
  readonly by: string;
  /** Place in the site's record; null for what the readings proved. */
  readonly seq: number | null;
  readonly withdrawn: string | null;
  readonly mark: 'said' | 'stage' | 'sealed' | 'decided';
}

export interface Story {
  readonly lines: readonly StoryLine[];
  /** What the site and its instruments are, beside the story. */
  readonly setup: readonly StoryLine[];
}

type Kind = Entry['kind'];
/** Who records later than this records from memory. */
const PROMPT_MS = 2 * 60_000;

const SETUP: ReadonlySet<Kind> = new Set<Kind>([
  ...(['site.described', 'schedule.given', 'schedule.recorded', 'sequence.given', 'sequence.recorded', 'lot.added'] as const),
  ...(['probe.registered', 'probe.mapped', 'calibration.recorded', 'boot.started', 'sump.added'] as const),
]);

/** What names stand for in the bundle that a story is out of. */
type Names = Pick<Opened, 'timeZone' | 'probes' | 'lots'>;

/** The story of a joint as its bundle tells it. */
export function storyOf({ entries, record }: OpenedJoint, names: Names): Story {
  const taken = new Map(entries.flatMap(({ entry }) => (entry.kind === 'entry.withdrawn' ? [[entry.seq, entry] as const] : [])));
  const when = (instant: string) => momentIn(Date.parse(instant), names.timeZone);
  const lines: StoryLine[] = [];
  const setup: StoryLine[] = [];
  for (const { seq, entry } of entries) {
    const withdrawal = taken.get(seq);
    const line: StoryLine = {
      key: `e${seq}`,
      ...timesOf(entry),
      title: words.entry[entry.kind],
      said: saidOf(entry, names, when),
      by: words.by(entry.by.name, personText.settings.roleName[entry.by.role]),
      seq,
      withdrawn:
        withdrawal === undefined ? null : words.withdrawn(withdrawal.by.name, when(withdrawal.recordedAt), withdrawal.reason),
      mark: entry.kind === 'joint.sealed' ? 'sealed' : entry.kind === 'finding.decided' ? 'decided' : 'said',
    };
    (SETUP.has(entry.kind) ? setup : lines).push(line);
  }
  for (const { stage, reachedAtMs, provenBy } of record.stages)
    if (reachedAtMs !== null && provenBy !== null)
      lines.push({
        key: `s${stage}`,
        atMs: reachedAtMs,
        recordedMs: null,
        title: words.stage(text.stage[stage] ?? stage),
        said: [],
        by: words.provenBy(probeIn(names, provenBy.probe)),
        seq: null,
        withdrawn: null,
        mark: 'stage',
      });
  const inOrder = (one: StoryLine, other: StoryLine) => one.atMs - other.atMs || (one.seq ?? 0) - (other.seq ?? 0);
  return { lines: lines.sort(inOrder), setup: setup.sort(inOrder) };
}

function timesOf(entry: Entry): Pick<StoryLine, 'atMs' | 'recordedMs'> {
  const recordedMs = Date.parse(entry.recordedAt);
  const at = entry.kind === 'hydrotest.recorded' ? entry.startedAt : 'at' in entry ? entry.at : undefined;
  const atMs = at === undefined ? recordedMs : Date.parse(at);
  return { atMs, recordedMs: recordedMs - atMs > PROMPT_MS ? recordedMs : null };
}

export function probeIn({ probes }: Pick<Opened, 'probes'>, probe: string): string {
  const label = probes[probe] ?? probe;
  return label === probe ? probe : text.probeName(label, probe);
}

const lotIn = ({ lots }: Names, lot: string) => (lots[lot] === undefined ? lot : `${lots[lot]} (${lot})`);

/** What an entry says beside its name, as sentences. */
function saidOf(entry: Entry, names: Names, when: (instant: string) => string): string[] {
  const some = <T>(value: T | undefined, say: (value: T) => string) => (value === undefined ? [] : [say(value)]);
  const own = (said: string | undefined) => some(said, (each) => each);
  switch (entry.kind) {
    case 'site.described':
      return [`${entry.name}, ${entry.timeZone}`];
    case 'schedule.given':
    case 'schedule.recorded': {
      const { title, version, source } = entry.definition;
      const reason = entry.kind === 'schedule.given' ? [words.reason(entry.reason)] : [];
      return [words.rules(title, version, source), ...reason];
    }
    case 'sequence.given':
      return [entry.definition.title, words.reason(entry.reason)];
    case 'sequence.recorded':
      return [entry.definition.title];
    case 'lot.added':
      return [lotIn({ ...names, lots: { [entry.lot]: entry.label } }, entry.lot)];
    case 'sump.added':
    case 'joint.added':
      return [entry.label];
    case 'joint.assigned':
      return [
        words.probes(text.listAnd(entry.probes.map((probe) => probeIn(names, probe)))),
        ...some(entry.ambient, (probe) => words.ambient(probeIn(names, probe))),
      ];
    case 'joint.laidUp':
      return own(entry.note);
    case 'joint.relaid':
      return [
        ...some(entry.reason, words.reason),
        ...some(entry.lost, (lost) => words.lost(text.listAnd(lost.map((stage) => text.stage[stage] ?? stage)))),
      ];
    case 'prep.signed':
      return [
        words.prep,
        ...some(entry.surfaceCelsius, (celsius) => words.surface(temperature(celsius))),
        ...some(entry.airCelsius, (celsius) => words.air(temperature(celsius))),
        ...some(entry.humidityPercent, (percent) => words.humidity(String(percent))),
        ...own(entry.note),
      ];
    case 'mix.recorded': {
      const { resin, resinCelsius } = entry;
      const celsius = temperature(resinCelsius);
      return [
        resin === undefined ? words.material(celsius) : words.resin(`${resin.value} ${resin.unit}`, celsius),
        ...some(entry.catalystMillilitres, (millilitres) => words.catalyst(String(millilitres))),
        ...some(entry.resinLot, (lot) => words.lot(lotIn(names, lot))),
        ...some(entry.catalystLot, (lot) => words.lot(lotIn(names, lot))),
        ...own(entry.note),
      ];
    }
    case 'proof.recorded':
      return [
        ...some(entry.hardness, ({ readings, makerMinimum }) => words.hardness(readings.join(', '), String(makerMinimum))),
        ...some(entry.surface, (surface) => words.wipe[surface]),
        ...own(entry.note),
      ];
    case 'finding.decided': {
      const [code = ''] = entry.finding.split(':');
      const finding = words.finding[code as FindingCode] ?? code;
      return [words.decided(finding, words.decision[entry.decision], entry.reason)];
    }
    case 'hold.signed':
      return [entry.hold, ...own(entry.note)];
    case 'activity.started':
      return [entry.activity, ...some(entry.early?.[0], () => words.early), ...some(entry.reason, words.reason)];
    case 'activity.done':
      return [entry.activity];
    case 'hydrotest.recorded': {
      const length = ({ value, unit }: { value: number; unit: string }) => `${value} ${unit}`;
      return [
        words.method[entry.method],
        words.held(when(entry.startedAt), when(entry.endedAt)),
        ...some(entry.byHand, ({ start, end }) => words.levels(length(start), length(end))),
        ...own(entry.note),
      ];
    }
    case 'heating.changed':
      return [
        words.heat[entry.what][entry.on ? 'on' : 'off'],
        ...some(entry.holdCelsius, (celsius) => words.hold(temperature(celsius))),
        ...own(entry.note),
      ];
    case 'booking.made':
      return [entry.activity, words.due(when(entry.due)), ...own(entry.note)];
    case 'booking.cancelled':
      return [entry.activity, ...own(entry.note)];
    case 'rain.noted':
      return [...some(entry.until, (until) => words.until(when(until))), ...own(entry.note)];
    case 'note.added':
      return [entry.text];
    case 'entry.withdrawn':
      return [words.tookBack(String(entry.seq), entry.reason)];
    case 'probe.registered':
    case 'probe.mapped':
    case 'calibration.recorded':
      return [probeIn(names, entry.probe)];
    case 'readings.imported':
      return [probeIn(names, entry.probe), words.readings(entry.file, String(entry.rows))];
    case 'clock.stepped':
      return [words.clock(when(entry.from), when(entry.to))];
    case 'boot.started':
      return [entry.program];
    case 'joint.sealed':
      return [words.sealed(words.sealWhy[entry.why], String(entry.entries.count))];
    case 'rain.ended':
    case 'forecast.given':
    case 'warning.raised':
    case 'warning.ended':
    case 'warning.acknowledged':
    case 'warning.snoozed':
      return [];
  }
}
