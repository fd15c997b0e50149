import { type Fold, foldAll, type LaneReadings } from '../../edge/cure/fold.ts';
import { compileRateTable } from '../../edge/cure/rateTable.ts';
import { builtInSchedules } from '../../edge/cure/schedule.ts';
import { DISCONNECTED_CELSIUS, type Sensor, sensorsAt } from '../../edge/demo/sensors.ts';
import { statementsAt } from '../../edge/demo/statements.ts';
import { foldSpecOf } from '../../edge/site/cureSpec.ts';
import { Entry, Statement } from '../../edge/site/entries.ts';
import { faultsOf } from '../../edge/site/faults.ts';
import { applyEntry, emptySite, type SiteState } from '../../edge/site/state.ts';
import { type JointView, jointView, type Latest } from '../../edge/site/views.ts';

/** A start-up and a little more, until the live readings take over. */
const LIVE_EVERY_MS = 5_000;

/** The scenario told to the real rules: every statement must be taken without a fault. */
export function siteAt(nowMs: number): SiteState {
  const stamp = { recordedAt: new Date(nowMs).toISOString(), by: { name: 'demo', role: 'admin' } };
  const site = emptySite();
  let seq = 0;
  for (const definition of builtInSchedules) {
    const table = compileRateTable(definition);
    applyEntry(
      site,
      Entry.parse({ kind: 'schedule.recorded', definition, table, rateTableSha256: '0'.repeat(64), ...stamp }),
      ++seq,
    );
  }
  for (const said of statementsAt(nowMs)) {
    const statement = Statement.parse(said);
    const faults = faultsOf(site, statement, nowMs);
    if (faults.length > 0)
      throw new Error(`${statement.kind}: ${faults.map((fault) => `${fault.path} ${fault.message}`).join('; ')}`);
    applyEntry(site, Entry.parse({ ...statement, ...stamp }), ++seq);
  }
  return site;
}

/** Every joint of the scenario as the page shows it `minutes` after the start at `nowMs`, by the real fold. */
export function viewsAt(nowMs: number, minutes = 0): Map<string, JointView> {
  const site = siteAt(nowMs);
  const untilMs = nowMs + minutes * 60_000;
  const readings = new Map<string, LaneReadings>();
  const latest = new Map<string, Latest>();
  for (const sensor of sensorsAt(nowMs)) {
    const own = readingsUntil(sensor, nowMs, untilMs);
    readings.set(sensor.probe, own);
    const last = own.atMs.length - 1;
    latest.set(sensor.probe, { atMs: own.atMs[last] as number, milliC: own.milliC[last] as number });
  }
  const views = new Map<string, JointView>();
  for (const joint of site.joints.values()) {
    const spec = foldSpecOf(site, joint);
    const lanes = spec?.lanes.map((lane) => readings.get(lane.probe) ?? { atMs: [], milliC: [] });
    const fold: Fold | null = spec && foldAll(spec, lanes ?? []);
    views.set(joint.joint, jointView(site, joint, fold, latest, untilMs));
  }
  return views;
}

function readingsUntil({ history, celsiusAt }: Sensor, nowMs: number, untilMs: number): { atMs: number[]; milliC: number[] } {
  const atMs = history.map((sample) => sample.atMs);
  const milliC = history.map((sample) => Math.round(sample.celsius * 1000));
  if (milliC.includes(DISCONNECTED_CELSIUS * 1000))
    throw new Error('a value that the intake sets aside must not stand in the history');
  for (let liveMs = nowMs; liveMs <= untilMs; liveMs += LIVE_EVERY_MS) {
    atMs.push(liveMs);
    milliC.push(Math.round(celsiusAt(liveMs) * 1000));
  }
  return { atMs, milliC };
}
