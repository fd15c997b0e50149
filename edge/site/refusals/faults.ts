import { builtInSchedules } from '../cure/schedule.ts';
import { msOf, type Statement } from './entries.ts';
import { jointOf, type SiteState } from './state.ts';

/** Something wrong with a statement: where, what, and what would be right. */
export interface Fault {
  readonly path: string;
  readonly message: string;
}

/** People's clocks differ; a statement may be this far ahead of ours. */
export const FUTURE_TOLERANCE_MS = 2 * 60_000;

/** No sump of this program was laid up before. */
const EARLIEST_MS = Date.UTC(2015, 0, 1);

/** Everything that keeps a well-formed statement from being taken, against what the site already knows. Empty: take it. */
export function faultsOf(site: SiteState, statement: Statement, nowMs: number): Fault[] {
  const faults: Fault[] = [];
  const fault = (path: string, message: string) => faults.push({ path, message });
  const list = (names: Iterable<string>) => [...names].slice(0, 12).join(', ') || 'none yet';

  const mustKnow = (path: string, what: string, known: Map<string, unknown>, id: string) => {
    if (!known.has(id)) fault(path, `no ${what} "${id}" on this site; known: ${list(known.keys())}`);
  };
  const mustBeNew = (path: string, what: string, known: Map<string, unknown>, id: string) => {
    if (known.has(id)) fault(path, `a ${what} "${id}" is on this site already`);
  };
  const mustBePast = (path: string, at: string | undefined) => {
    if (at === undefined) return;
    const atMs = msOf(at);
    if (atMs > nowMs + FUTURE_TOLERANCE_MS) fault(path, `lies in the future; it is ${new Date(nowMs).toISOString()} here`);
    if (atMs < EARLIEST_MS) fault(path, 'lies before 2015; check the year');
  };
  const rolesOf = (probes: readonly string[], ambient: string | undefined) => {
    probes.forEach((probe, index) => {
      if (site.probes.get(probe)?.role === 'ambient')
        fault(`probes.${index}`, `probe "${probe}" is registered as ambient, not on a material`);
    });
    if (ambient === undefined) return;
    if (probes.includes(ambient)) fault('ambient', `probe "${ambient}" cannot be both on the material and in the air`);
    if (site.probes.get(ambient)?.role === 'material')
      fault('ambient', `probe "${ambient}" is registered on a material, not as ambient`);
  };

  switch (statement.kind) {
    case 'site.described':
      break;
    case 'probe.registered': {
      const known = site.probes.get(statement.probe);
      if (known !== undefined && known.role !== statement.role)
        fault('role', `probe "${statement.probe}" is registered as ${known.role}; give the other probe a name of its own`);
      for (const joint of site.joints.values()) {
        const assigned = joint.assignments.at(-1);
        if (statement.role === 'ambient' && assigned?.probes.includes(statement.probe))
          fault('role', `joint "${joint.joint}" counts on probe "${statement.probe}" as a material probe`);
        if (statement.role === 'material' && assigned?.ambient === statement.probe)
          fault('role', `joint "${joint.joint}" counts on probe "${statement.probe}" as its ambient probe`);
      }
      break;
    }
    case 'sump.added':
      mustBeNew('sump', 'sump', site.sumps, statement.sump);
      break;
    case 'joint.added':
      mustBeNew('joint', 'joint', site.joints, statement.joint);
      mustKnow('sump', 'sump', site.sumps, statement.sump);
      if (!site.schedules.has(statement.schedule) && !builtInSchedules.some((schedule) => schedule.name === statement.schedule)) {
        const names = new Set([...builtInSchedules.map((schedule) => schedule.name), ...site.schedules.keys()]);
        fault('schedule', `no schedule "${statement.schedule}"; known: ${list(names)}`);
      }
      rolesOf(statement.probes, statement.ambient);
      break;
    case 'joint.assigned': {
      mustKnow('joint', 'joint', site.joints, statement.joint);
      mustBePast('at', statement.at);
      rolesOf(statement.probes, statement.ambient);
      const latestMs = site.joints.get(statement.joint)?.assignments.at(-1)?.fromMs;
      if (latestMs !== undefined && (statement.at === undefined ? nowMs : msOf(statement.at)) < latestMs)
        fault('at', `lies before the joint's present assignment, which holds since ${new Date(latestMs).toISOString()}`);
      break;
    }
    case 'joint.laidUp':
      mustKnow('joint', 'joint', site.joints, statement.joint);
      mustBePast('at', statement.at);
      break;
    case 'joint.relaid': {
      mustKnow('joint', 'joint', site.joints, statement.joint);
      mustBePast('at', statement.at);
      const joint = site.joints.get(statement.joint);
      if (joint !== undefined && joint.laidUpMs === null)
        fault('joint', `joint "${statement.joint}" has not been laid up yet; record that first`);
      else if (joint?.laidUpMs != null && msOf(statement.at) < joint.laidUpMs)
        fault('at', `lies before the lay-up it replaces, ${new Date(joint.laidUpMs).toISOString()}`);
      break;
    }
    case 'entry.withdrawn': {
      const joint = jointOf(site, statement.seq);
      if (joint === undefined)
        fault('seq', `entry ${statement.seq} cannot be taken back; lay-ups, assignments and notes of a joint can`);
      else if (joint.withdrawals.has(statement.seq)) fault('seq', `entry ${statement.seq} has been taken back already`);
      break;
    }
    case 'note.added':
      mustBePast('at', statement.at);
      if (statement.joint !== undefined) mustKnow('joint', 'joint', site.joints, statement.joint);
      if (statement.sump !== undefined) mustKnow('sump', 'sump', site.sumps, statement.sump);
      if (statement.probe !== undefined) mustKnow('probe', 'probe', site.probes, statement.probe);
      break;
  }
  return faults;
}
