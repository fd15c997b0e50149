import { builtInSchedules } from '../../cure/builtIns.ts';
import { hoursThrough } from '../../cure/law.ts';
import { MOST_HOURS } from '../../cure/schedule.ts';
import type { Statement } from '../entries.ts';
import {
  DEFAULT_HUMIDITY_UNCERTAINTY_PERCENT,
  DEFAULT_LEVEL_UNCERTAINTY_MM,
  DEFAULT_UNCERTAINTY_CELSIUS,
} from '../said/instruments.ts';
import { testAndBackfill } from '../sequence.ts';
import type { Probe } from '../state/probe.ts';
import type { SiteState } from '../state/site.ts';
import { type Context, type Faults, listed } from './context.ts';

type Of<K extends Statement['kind']> = Extract<Statement, { kind: K }>;

/** Newest version of a schedule that may be used: on record here, or built in. */
export function scheduleNamed(site: SiteState, name: string) {
  return site.schedules.get(name)?.definition ?? builtInSchedules.find((schedule) => schedule.name === name);
}

function mustKnowSchedule(faults: Faults, site: SiteState, path: string, name: string): void {
  if (scheduleNamed(site, name) !== undefined) return;
  const names = new Set([...builtInSchedules.map((schedule) => schedule.name), ...site.schedules.keys()]);
  faults.add(path, `no schedule "${name}"; known: ${listed(names)}`);
}

export function scheduleFaults(faults: Faults, { site }: Context, { definition }: Of<'schedule.given'>): void {
  const newest = scheduleNamed(site, definition.name)?.version ?? 0;
  if (definition.version !== newest + 1)
    faults.add(
      'definition.version',
      `must be ${newest + 1}: the newest version of "${definition.name}" is ${newest || 'none yet'}`,
    );
}

export function sequenceFaults(faults: Faults, { site }: Context, { definition }: Of<'sequence.given'>): void {
  const newest = site.sequences.get(definition.name)?.version ?? 0;
  if (definition.name === testAndBackfill.name)
    faults.add('definition.name', 'this one guards every sump without a sequence; give the copy a name of its own');
  if (definition.version !== newest + 1)
    faults.add(
      'definition.version',
      `must be ${newest + 1}: the newest version of "${definition.name}" is ${newest || 'none yet'}`,
    );
  definition.parts.forEach(({ schedule }, index) => {
    mustKnowSchedule(faults, site, `definition.parts.${index}.schedule`, schedule);
  });
}

export function jointFaults(faults: Faults, { site }: Context, statement: Of<'joint.added'>): void {
  const { joint, sump, schedule, part, beadMillimetres } = statement;
  faults.mustBeNew('joint', 'joint', site.joints, joint);
  faults.mustKnow('sump', 'sump', site.sumps, sump);
  mustKnowSchedule(faults, site, 'schedule', schedule);
  const law = scheduleNamed(site, schedule)?.law;
  if (beadMillimetres !== undefined && law !== undefined) {
    if (law.kind !== 'moisture') faults.add('beadMillimetres', 'is for a sealant, whose schedule has a moisture law');
    else if (hoursThrough(law, beadMillimetres) > MOST_HOURS)
      faults.add('beadMillimetres', `a bead so deep takes ${Math.ceil(hoursThrough(law, beadMillimetres))} h to cure through`);
  }
  const { parts } = site.sumps.get(sump)?.sequence ?? { parts: [] };
  if (part === undefined) return;
  if (!parts.some((one) => one.part === part))
    faults.add('part', `the sequence of sump "${sump}" has no joint "${part}"; it has ${listed(parts.map((one) => one.part))}`);
  const taken = site.sumps.get(sump)?.joints.find((name) => site.joints.get(name)?.part === part);
  if (taken !== undefined) faults.add('part', `joint "${taken}" is that part of the sump already`);
}

/** Material probes on a material, ambient ones in the air. */
export function rolesFaults(
  faults: Faults,
  { site }: Context,
  { probes, ambient }: Pick<Of<'joint.added'>, 'probes' | 'ambient'>,
): void {
  probes.forEach((probe, index) => {
    const role = site.probes.get(probe)?.role ?? 'material';
    if (role !== 'material') faults.add(`probes.${index}`, `probe "${probe}" is registered as ${role}, not on a material`);
  });
  if (ambient === undefined) return;
  if (probes.includes(ambient)) faults.add('ambient', `probe "${ambient}" cannot be both on the material and in the air`);
  const role = site.probes.get(ambient)?.role ?? 'ambient';
  if (role !== 'ambient')
    faults.add(
      'ambient',
      `probe "${ambient}" is registered ${role === 'material' ? 'on a material' : 'as level'}, not as ambient`,
    );
}

/** What is taken off every reading is not crew's to make smaller: they put probes on and give them names. */
function crewProbeFaults(faults: Faults, known: Probe | undefined, statement: Of<'probe.registered'>): void {
  const { uncertaintyCelsius, humidityUncertaintyPercent, levelUncertaintyMillimetres, sensor } = statement;
  const figures = { uncertaintyCelsius, humidityUncertaintyPercent, levelUncertaintyMillimetres };
  const { told } = known ?? {};
  const least = {
    uncertaintyCelsius: told?.uncertaintyCelsius ?? DEFAULT_UNCERTAINTY_CELSIUS,
    humidityUncertaintyPercent: told?.humidityUncertaintyPercent ?? DEFAULT_HUMIDITY_UNCERTAINTY_PERCENT,
    levelUncertaintyMillimetres: told?.levelUncertaintyMillimetres ?? DEFAULT_LEVEL_UNCERTAINTY_MM,
  };
  for (const name of ['uncertaintyCelsius', 'humidityUncertaintyPercent', 'levelUncertaintyMillimetres'] as const) {
    const figure = figures[name] ?? (told?.[name] == null ? undefined : 0);
    if (figure !== undefined && figure < least[name])
      faults.add(name, `only quality or admin may make it smaller than ${least[name]}`);
  }
  if (known !== undefined && JSON.stringify(known.settings.at(-1)?.sensor) !== JSON.stringify(sensor))
    faults.add('sensor', 'only quality or admin may change the sensor of a probe that is registered');
}

export function probeFaults(faults: Faults, { site, by }: Context, statement: Of<'probe.registered'>): void {
  const { probe, role } = statement;
  const known = site.probes.get(probe);
  if (by.role === 'crew') crewProbeFaults(faults, known, statement);
  if (known !== undefined && known.role !== role)
    faults.add('role', `probe "${probe}" is registered as ${known.role}; give the other probe a name of its own`);
  for (const joint of site.joints.values()) {
    const assigned = joint.assignments.at(-1);
    if (role !== 'material' && assigned?.probes.includes(probe))
      faults.add('role', `joint "${joint.joint}" counts on probe "${probe}" as a material probe`);
    if (role !== 'ambient' && assigned?.ambient === probe)
      faults.add('role', `joint "${joint.joint}" counts on probe "${probe}" as its ambient probe`);
  }
}
