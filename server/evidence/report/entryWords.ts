import { hoursOf } from '../../../edge/cure/schedule.ts';
import type { Entry } from '../../../edge/site/entries.ts';
import { waterTest } from '../../../web/text/en/waterTest.ts';
import { stageName } from './about.ts';
import { amount, counted, hoursEarned, type SiteClock, temperature } from './figures.ts';

export interface EntryWords {
  readonly title: string;
  /** What was said beside it; empty: nothing. */
  readonly said: string;
}

type Part = string | undefined | false;
const joined = (...parts: readonly Part[]) =>
  parts.filter((part) => part !== undefined && part !== false && part !== '').join('; ');
const maybe = <T>(value: T | undefined, words: (value: T) => string) => (value === undefined ? undefined : words(value));
const celsius = (label: string, value: number | undefined) => maybe(value, (known) => `${label} ${temperature(known)}`);
const level = ({ value, unit }: { readonly value: number; readonly unit: string }) => `${value} ${unit}`;

/** An entry of the ledger in words. People's own stand as they wrote them. */
export function entryWords(entry: Entry, clock: SiteClock): EntryWords {
  const at = (instant: string) => clock.at(instant);
  const told = (title: string, ...parts: readonly Part[]): EntryWords => ({ title, said: joined(...parts) });
  switch (entry.kind) {
    case 'site.described':
      return told('Site described', entry.name, entry.timeZone);
    case 'schedule.given':
      return told('Schedule given', `${entry.definition.title}, version ${entry.definition.version}`, entry.reason);
    case 'schedule.recorded':
      return told(
        'Schedule put on record',
        `${entry.definition.title}, version ${entry.definition.version}`,
        `rate table ${entry.rateTableSha256}`,
      );
    case 'sequence.given':
      return told('Order of work given', `${entry.definition.title}, version ${entry.definition.version}`, entry.reason);
    case 'sequence.recorded':
      return told('Order of work put on record', `${entry.definition.title}, version ${entry.definition.version}`);
    case 'lot.added':
      return told('Lot added', `${entry.lot}: ${entry.material}`, entry.label, entry.sheet && 'with its own sheet');
    case 'sump.added':
      return told(
        'Sump added',
        `${entry.sump}: ${entry.label}`,
        maybe(entry.serial, (serial) => `serial ${serial}`),
      );
    case 'joint.added':
      return told(
        'Joint added',
        `${entry.joint}: ${entry.label}`,
        `schedule ${entry.schedule}`,
        entry.probes.length > 0 && `probes ${entry.probes.join(', ')}`,
        maybe(entry.ambient, (probe) => `air ${probe}`),
      );
    case 'joint.assigned':
      return told(
        'Probes assigned',
        `${entry.joint}: ${entry.probes.join(', ') || 'none on the material'}`,
        maybe(entry.ambient, (probe) => `air ${probe}`),
      );
    case 'probe.registered':
      return told(
        'Probe registered',
        `${entry.probe}, ${entry.role}, ${entry.sensor.kind}`,
        entry.label,
        maybe(entry.uncertaintyCelsius, (own) => `uncertainty ${own} °C`),
      );
    case 'calibration.recorded':
      return told(
        'Calibration',
        entry.probe,
        entry.calibration.points.map((p) => `showed ${p.indicatedCelsius} °C at ${p.referenceCelsius} °C`).join(', '),
        `against ${entry.calibration.reference}, done by ${entry.calibration.by}`,
        maybe(entry.dueAt, (due) => `next due ${at(due)}`),
        entry.note,
      );
    case 'probe.mapped':
      return told('Device mapped', entry.probe, `topic ${entry.topic}`);
    case 'readings.imported':
      return told(
        'File of readings taken in',
        `${entry.probe}: ${entry.file}, ${counted(entry.rows, 'row')}`,
        clock.fromTo(entry.from, entry.to),
        `SHA-256 ${entry.sha256}`,
      );
    case 'prep.signed':
      return told(
        'Surface signed: sanded, wiped, dry',
        entry.joint,
        celsius('surface', entry.surfaceCelsius),
        celsius('air', entry.airCelsius),
        maybe(entry.humidityPercent, (humidity) => `humidity ${humidity} %`),
        entry.note,
      );
    case 'mix.recorded':
      return told(
        'Mixed',
        entry.joint,
        maybe(entry.resin, (resin) => `${amount(resin)} of resin`),
        maybe(entry.catalystMillilitres, (millilitres) => `${millilitres} mL of catalyst`),
        celsius('material', entry.resinCelsius),
        celsius('air', entry.airCelsius),
        maybe(entry.resinLot, (lot) => `lot ${lot}`),
        maybe(entry.catalystLot, (lot) => `catalyst lot ${lot}`),
        entry.note,
      );
    case 'joint.laidUp':
      return told('Laid up', entry.joint, entry.note);
    case 'joint.relaid':
      return told(
        'Laid up anew, hours from zero',
        entry.joint,
        maybe(entry.lost, (lost) => `lost ${lost.map(stageName).join(', ')}`),
        entry.reason,
      );
    case 'joint.sealed':
      return told(
        SEALED[entry.why],
        entry.joint,
        maybe(entry.stage, stageName),
        `${hoursEarned(hoursOf(entry.creditPpmMs))} warm`,
        counted(
          entry.lanes.reduce((sum, { readings }) => sum + readings, 0),
          'reading',
        ),
        counted(entry.entries.count, 'entry').replace('entrys', 'entries'),
      );
    case 'proof.recorded':
      return told(
        'Proof',
        entry.joint,
        maybe(entry.hardness, ({ readings, makerMinimum }) => `hardness ${readings.join(' ')}, maker’s minimum ${makerMinimum}`),
        maybe(entry.surface, (surface) => `surface ${surface}`),
        entry.note,
      );
    case 'finding.decided':
      return told(DECIDED[entry.decision], entry.finding, entry.reason);
    case 'hold.signed':
      return told('Hold point signed', `${entry.sump}: ${entry.hold}`, entry.note);
    case 'activity.started':
      return told(
        entry.early === undefined || entry.early.length === 0 ? 'Work begun' : 'Work begun before its time',
        `${entry.sump}: ${entry.activity}`,
        maybe(entry.early, (early) => (early.length > 0 ? `missing ${early.map(({ need }) => need).join(', ')}` : '')),
        entry.reason,
      );
    case 'activity.done':
      return told('Work done', `${entry.sump}: ${entry.activity}`);
    case 'hydrotest.recorded':
      return told(
        'Water test',
        `${entry.sump}, ${waterTest.methods[entry.method].toLowerCase()}`,
        `${level(entry.fillAboveHighest)} above the highest penetration or seam`,
        maybe(entry.waterDepth, (depth) => `${level(depth)} deep`),
        `filled ${at(entry.filledAt)}, held ${clock.fromTo(entry.startedAt, entry.endedAt)}`,
        maybe(
          entry.byHand,
          ({ start, end, resolution }) => `by hand ${level(start)}, then ${level(end)}, read to ${level(resolution)}`,
        ),
        maybe(
          entry.measured,
          (m) => `by probe ${entry.probe} ${m.startMicrometres / 1000} mm, then ${m.endMicrometres / 1000} mm`,
        ),
        celsius('water at the start', entry.waterCelsiusStart),
        celsius('at the end', entry.waterCelsiusEnd),
        entry.note,
      );
    case 'rain.noted':
      return told(
        'Rain',
        entry.sump ?? 'whole site',
        maybe(entry.until, (until) => `until ${at(until)}`),
        entry.note,
      );
    case 'rain.ended':
      return told('Rain over', entry.sump ?? 'whole site');
    case 'heating.changed':
      return told(
        `${entry.what === 'heater' ? 'Heater' : 'Cover'} ${entry.on ? 'on' : 'off'}`,
        entry.joint ?? entry.sump,
        celsius('set to', entry.holdCelsius),
        entry.note,
      );
    case 'booking.made':
      return told('Booked', `${entry.sump}: ${entry.activity}, ${at(entry.due)}`, entry.note);
    case 'booking.cancelled':
      return told('Booking cancelled', `${entry.sump}: ${entry.activity}`, entry.note);
    case 'note.added':
      return told('Note', entry.joint ?? entry.sump ?? entry.probe, entry.text);
    case 'entry.withdrawn':
      return told('Taken back', `entry ${entry.seq}`, entry.reason);
    case 'boot.started':
      return told('Program started', entry.program);
    case 'clock.stepped':
      return told('Clock of the site’s machine was set', `from ${at(entry.from)} to ${at(entry.to)}`);
    case 'forecast.given':
      return told('Forecast', entry.source);
    case 'warning.raised':
    case 'warning.ended':
    case 'warning.acknowledged':
    case 'warning.snoozed':
      return told(`Warning ${entry.kind.slice('warning.'.length)}`, entry.warning);
  }
}

/** Why the program sealed a joint. */
const SEALED = {
  stage: 'Sealed: a stage was reached',
  done: 'Sealed: every stage was reached',
  late: 'Sealed again: something came late',
  decided: 'Sealed again: a finding was decided',
  asked: 'Sealed: the evidence was asked for',
} as const;

const DECIDED = { accept: 'Finding accepted', redo: 'To be done again', proof: 'Finding settled by a proof' } as const;
