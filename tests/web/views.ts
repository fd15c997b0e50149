import { builtInSchedules } from '../../edge/cure/builtIns.ts';
import { foldAll } from '../../edge/cure/fold.ts';
import { compileRateTable } from '../../edge/cure/rateTable.ts';
import { HOUR_MS, type Schedule } from '../../edge/cure/schedule.ts';
import { foldSpecOf } from '../../edge/site/cureSpec.ts';
import type { Entry, Statement } from '../../edge/site/entries.ts';
import { jointFindings } from '../../edge/site/findings/jointFindings.ts';
import { applyEntry } from '../../edge/site/state/apply.ts';
import { emptySite, type SiteState } from '../../edge/site/state/site.ts';
import type { Latest } from '../../edge/site/views/governing.ts';
import { iso } from '../../edge/site/views/iso.ts';
import { type JointView, jointView } from '../../edge/site/views/joint.ts';
import { type ProbeView, probeView } from '../../edge/site/views/probe.ts';

/** Some winter day. */
export const NOW_MS = Date.UTC(2026, 0, 15, 20, 0);
const MINUTE_MS = 60_000;

export interface Plan {
  readonly joint?: string;
  readonly schedule?: Schedule;
  /** Null: it is still planned. */
  readonly laidUpHoursAgo: number | null;
  /** What the probe on the material measures all the time. Null: there is none. */
  readonly celsius: number | null;
  /** How long ago its last reading came. */
  readonly silentMinutes?: number;
  /** What a probe in the air measures, where the joint has one. */
  readonly airCelsius?: number;
}

export const polyester = builtInSchedules.find((schedule) => schedule.name === 'polyester-laminate') as Schedule;

/** A joint's view as the server makes it, with its probes', from one reading a minute since an hour before lay-up. */
export function joined(plan: Plan): { view: JointView; probeOf: (name: string) => ProbeView | undefined } {
  const { joint = 'j1', schedule = polyester, laidUpHoursAgo, celsius, silentMinutes = 0, airCelsius } = plan;
  const site = emptySite();
  let seq = 0;
  const record = (entry: Entry) => applyEntry(site, entry, ++seq);
  const say = (statement: Statement) =>
    record({ ...statement, recordedAt: iso(NOW_MS - 100 * HOUR_MS), by: { name: 'Sam', role: 'crew' } });
  const table = compileRateTable(schedule);
  record({
    kind: 'schedule.recorded',
    definition: schedule,
    table,
    rateTableSha256: '0'.repeat(64),
    recordedAt: iso(NOW_MS - 100 * HOUR_MS),
    by: { name: 'warmhours', role: 'system' },
  });
  const registered = { kind: 'probe.registered', sensor: { kind: 'digital' }, uncertaintyCelsius: 0.5 } as const;
  if (celsius !== null) say({ ...registered, probe: 'p1', role: 'material' });
  if (airCelsius !== undefined) say({ ...registered, probe: 'air', role: 'ambient' });
  say({ kind: 'sump.added', sump: 's1', label: 'Sump' });
  const ambient = airCelsius === undefined ? {} : { ambient: 'air' };
  say({
    kind: 'joint.added',
    joint,
    sump: 's1',
    label: `Joint ${joint}`,
    schedule: schedule.name,
    probes: celsius === null ? [] : ['p1'],
    ...ambient,
  });
  if (laidUpHoursAgo !== null) say({ kind: 'joint.laidUp', joint, at: iso(NOW_MS - laidUpHoursAgo * HOUR_MS) });
  return viewed(site, joint, plan, NOW_MS - silentMinutes * MINUTE_MS);
}

function viewed(site: SiteState, name: string, plan: Plan, lastMs: number) {
  const joint = site.joints.get(name);
  if (joint === undefined) throw new Error(`no joint ${name}`);
  const firstMs = NOW_MS - ((plan.laidUpHoursAgo ?? 0) + 1) * HOUR_MS;
  const atMs: number[] = [];
  for (let ms = lastMs; ms >= firstMs; ms -= MINUTE_MS) atMs.unshift(ms);
  const milliCOf = new Map<string, number>();
  if (plan.celsius !== null) milliCOf.set('p1', Math.round(plan.celsius * 1000));
  if (plan.airCelsius !== undefined) milliCOf.set('air', Math.round(plan.airCelsius * 1000));

  const spec = foldSpecOf(site, joint);
  const readings = (spec?.lanes ?? []).map((lane) => ({ atMs, milliC: atMs.map(() => milliCOf.get(lane.probe) ?? 0) }));
  const temperature = new Map([...milliCOf].map(([probe, milliC]): [string, Latest] => [probe, { atMs: lastMs, milliC }]));
  const fold = spec === null ? null : foldAll(spec, readings);
  const proven = { episodes: [], reached: fold?.state.reached ?? [], gelMs: null };
  const findings = jointFindings(site, joint, proven, NOW_MS);
  const proof = { fold, mixFold: null, findings, projected: null };
  const view = jointView(site, joint, proof, { temperature, humidity: new Map() }, NOW_MS);
  const probeOf = (probe: string) => {
    const known = site.probes.get(probe);
    const latest = { temperature: temperature.get(probe), humidity: undefined, level: undefined, resistance: undefined };
    return known === undefined ? undefined : probeView(site, probe, known, latest, null);
  };
  return { view, probeOf };
}
