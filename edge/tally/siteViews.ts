import { builtInSchedules } from '../cure/builtIns.ts';
import type { Schedule } from '../cure/schedule.ts';
import { CodedError } from '../errors.ts';
import type { Finding } from '../site/findings/finding.ts';
import { ownerOf } from '../site/findings/id.ts';
import { jointFindings } from '../site/findings/jointFindings.ts';
import type { Seen } from '../site/refusals/context.ts';
import type { Sequence } from '../site/sequence.ts';
import { isImported } from '../site/sources.ts';
import { forecastInForce } from '../site/state/forecast.ts';
import type { Joint } from '../site/state/joint.ts';
import type { SiteState } from '../site/state/site.ts';
import { forecastSummary } from '../site/views/forecast.ts';
import { iso } from '../site/views/iso.ts';
import { type JointView, jointView, withLateness } from '../site/views/joint.ts';
import { type JointProjection, noTimes, notBefore, timesOf } from '../site/views/outlook.ts';
import { type ProbeView, probeView } from '../site/views/probe.ts';
import type { SiteView } from '../site/views/site.ts';
import { type SumpView, sumpView } from '../site/views/sump.ts';
import type { WarningView } from '../site/views/warning.ts';
import type { Outlooks } from './ahead/outlooks.ts';
import type { Inspector } from './inspector.ts';
import type { LatestValues } from './latest.ts';
import type { Tally } from './tally.ts';

/** A view is of now for so long. */
const MOMENT_MS = 10;

interface SiteViewsParts {
  readonly site: string;
  readonly state: SiteState;
  readonly tally: Tally;
  readonly latest: LatestValues;
  readonly inspector: Inspector;
  readonly online: ReadonlyMap<string, boolean>;
  readonly outlooks: Outlooks;
  readonly warnings: () => WarningView[];
  /** Mean of the site's air over the last day; null: not measured. */
  readonly airMilliC: () => number | null;
  readonly nowMs: () => number;
}

/** The site as it is now, seen as everybody sees it. */
export class SiteViews {
  readonly #parts: SiteViewsParts;
  /** Joints and sumps as they were just now: page, sump and broker ask for the same within a moment. */
  readonly #joints = new Map<string, { readonly view: JointView; readonly atMs: number }>();
  readonly #sumps = new Map<string, { readonly view: SumpView; readonly atMs: number }>();
  /** What statements are checked against. */
  readonly seen: Seen;

  constructor(parts: SiteViewsParts) {
    this.#parts = parts;
    this.seen = {
      activities: (sump) => (parts.state.sumps.has(sump) ? this.sump(sump).activities : []),
      finding: (id) => this.#finding(id),
      isDone: (joint) =>
        this.joint(joint).stages.every(({ reachedAt, blockedBy }) => reachedAt !== null && blockedBy.length === 0),
      firstStage: (joint) => {
        const [first] = this.joint(joint).stages;
        return { stage: first?.stage ?? '', remainingHours: first?.remainingHours ?? 0 };
      },
      coldestMilliC: (joint) => {
        const { governing } = this.joint(joint);
        return governing === null ? null : Math.round((governing.celsius - governing.guardCelsius) * 1000);
      },
      airMilliC: parts.airMilliC,
    };
  }

  /** The schedules that a joint may use: those on record here, and those built in. */
  schedules(): Schedule[] {
    const { schedules } = this.#parts.state;
    const onRecord = [...schedules.values()].map(({ definition }) => definition);
    return [...onRecord, ...builtInSchedules.filter(({ name }) => !schedules.has(name))];
  }

  sequences(): Sequence[] {
    return [...this.#parts.state.sequences.values()];
  }

  /** @throws CodedError `not-found`. */
  jointState(name: string): Joint {
    const joint = this.#parts.state.joints.get(name);
    if (joint === undefined) throw new CodedError('not-found', `there is no joint "${name}" on this site`);
    return joint;
  }

  joint(name: string): JointView {
    const view = this.#momentary(this.#joints, name, (nowMs) => this.#joint(name, nowMs));
    const { bookings } = this.#parts.state.sumps.get(view.sump) ?? {};
    return bookings === undefined || bookings.size === 0 ? view : withLateness(view, this.sump(view.sump).bookings);
  }

  #momentary<View>(
    kept: Map<string, { readonly view: View; readonly atMs: number }>,
    name: string,
    make: (nowMs: number) => View,
  ): View {
    const nowMs = this.#parts.nowMs();
    const known = kept.get(name);
    if (known !== undefined && Math.abs(nowMs - known.atMs) <= MOMENT_MS) return known.view;
    const view = make(nowMs);
    kept.set(name, { view, atMs: nowMs });
    return view;
  }

  /** To be called when readings came, something was said, or time alone may have changed what is shown. */
  changed(): void {
    this.#joints.clear();
    this.#sumps.clear();
  }

  #joint(name: string, nowMs: number): JointView {
    const { state, tally, latest } = this.#parts;
    const joint = this.jointState(name);
    const assigned = joint.assignments.at(-1);
    const probes = [...(assigned?.probes ?? []), ...(assigned?.ambient == null ? [] : [assigned.ambient])];
    const proof = {
      fold: tally.fold(name),
      mixFold: tally.mixFold(name),
      findings: this.#findings(joint),
      projected: this.#projected(joint),
    };
    return jointView(state, joint, proof, latest.of(probes), nowMs);
  }

  /** @throws CodedError `not-found`. */
  sump(name: string): SumpView {
    return this.#momentary(this.#sumps, name, (nowMs) => this.#sump(name, nowMs));
  }

  #sump(name: string, nowMs: number): SumpView {
    const { state } = this.#parts;
    const sump = state.sumps.get(name);
    if (sump === undefined) throw new CodedError('not-found', `there is no sump "${name}" on this site`);
    const joints = new Map<string, JointView>();
    const ahead = new Map<string, JointProjection>();
    for (const each of sump.joints) {
      const view = this.#momentary(this.#joints, each, (ms) => this.#joint(each, ms));
      joints.set(each, view);
      const projected = this.#projected(this.jointState(each));
      if (projected !== null) ahead.set(each, projected);
    }
    return sumpView(state, sump, joints, ahead, nowMs);
  }

  /** Null where nothing lies ahead any more, or yet. */
  #projected(joint: Joint): JointProjection | null {
    const { tally, outlooks, nowMs } = this.#parts;
    const fold = tally.fold(joint.joint);
    if (fold === null || fold.state.reached.length >= fold.spec.stages.length) return null;
    const { atMs, ahead, outlook, reason } = outlooks.of(joint);
    const isReached = (stage: string) => fold.state.reached.some((each) => each.stage === stage);
    const readiness = (outlook?.stages ?? []).map(({ stage, membersMs }) => ({
      stage,
      membersMs: isReached(stage) ? membersMs : notBefore(membersMs, nowMs()),
    }));
    const stages = fold.spec.stages.map(({ stage }) => {
      const membersMs = readiness.find((each) => each.stage === stage)?.membersMs;
      return { stage, ...(membersMs === undefined ? noTimes(reason ?? 'not-yet') : timesOf(membersMs)) };
    });
    return { asOf: iso(atMs), air: ahead?.basis.air ?? 'own', stages, readiness, reason };
  }

  /** Those that were raised and have not ended, newest first. */
  warnings(): WarningView[] {
    return this.#parts.warnings();
  }

  probe(name: string): ProbeView {
    const { state, latest, online } = this.#parts;
    return probeView(state, name, state.probes.get(name) ?? null, latest.ofProbe(name), online.get(name) ?? null);
  }

  whole(recording: boolean): SiteView {
    const { site, state, latest, nowMs } = this.#parts;
    const joints = [...state.joints.keys()].map((name) => this.joint(name));
    const forecast = forecastInForce(state.forecasts, nowMs());
    const strangers = [...latest.heard()].filter((probe) => !state.probes.has(probe) && !isImported(probe));
    return {
      site,
      name: state.name,
      timeZone: state.timeZone,
      asOf: iso(nowMs()),
      recording,
      sumps: [...state.sumps.keys()].map((sump) => this.sump(sump)),
      joints,
      probes: [...state.probes.keys(), ...strangers].map((probe) => this.probe(probe)),
      lots: [...state.lots.values()].map(({ seq, lot, material, label, sheet }) => ({
        seq,
        lot,
        material,
        label,
        hasSheet: sheet !== undefined,
      })),
      rain: state.rains
        .filter(({ untilMs }) => untilMs === null)
        .map(({ seq, atMs, sump, by }) => ({ seq, at: iso(atMs), sump, by: by.name }))
        .reverse(),
      forecast: forecast === undefined ? null : forecastSummary(forecast),
      warnings: this.warnings(),
    };
  }

  #findings(joint: Joint): Finding[] {
    const { state, tally, inspector, nowMs } = this.#parts;
    const reached = tally.fold(joint.joint)?.state.reached ?? [];
    const gel = tally.mixFold(joint.joint)?.state.reached.find(({ stage }) => stage === 'gel');
    const episodes = inspector.episodes(joint);
    return jointFindings(state, joint, { episodes, reached, gelMs: gel?.reachedAtMs ?? null }, nowMs());
  }

  #finding(id: string) {
    const { state } = this.#parts;
    const owner = ownerOf(id);
    const ofJoint = state.joints.has(owner) ? this.joint(owner).findings : [];
    const ofSump = state.sumps.has(owner) ? this.sump(owner).findings : [];
    return [...ofJoint, ...ofSump].find((finding) => finding.id === id);
  }
}
