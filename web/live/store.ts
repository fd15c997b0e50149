import { batch, type Signal, signal } from '@preact/signals';
import type { JointView } from '../../edge/site/views/joint.ts';
import type { ProbeView } from '../../edge/site/views/probe.ts';
import type { SiteView } from '../../edge/site/views/site.ts';
import type { SumpView } from '../../edge/site/views/sump.ts';
import type { WarningView } from '../../edge/site/views/warning.ts';
import { text } from '../text/text.ts';

type Head = Pick<SiteView, 'site' | 'name' | 'timeZone'>;

/** What the site is called and where it is; null until the first answer. */
export const head = signal<Head | null>(null);

/** False: readings are not being written down. */
export const recording = signal(true);

/** Materials that have been given a lot here, and rain that goes on. */
export const lots = signal<SiteView['lots']>([]);
export const rain = signal<SiteView['rain']>([]);

/** The forecast that is gone by; null: there is none. */
export const forecast = signal<SiteView['forecast']>(null);

/** What will go wrong unless somebody acts, the newest first. */
export const warnings = signal<readonly WarningView[]>([]);

/** How many messages lie in quarantine; null until the server has said so. */
export const quarantined = signal<number | null>(null);

/** One signal per thing, so that a new value redraws only what shows it. The maps themselves change when things come or go. */
export const sumps = signal<ReadonlyMap<string, Signal<SumpView>>>(new Map());
export const joints = signal<ReadonlyMap<string, Signal<JointView>>>(new Map());
export const probes = signal<ReadonlyMap<string, Signal<ProbeView>>>(new Map());

export const siteZone = () => head.value?.timeZone ?? 'UTC';

/** A joint with its sump: many sumps have a base laminate. */
export function jointInSump(name: string): string {
  const joint = joints.value.get(name)?.value;
  const sump = joint === undefined ? undefined : sumps.value.get(joint.sump)?.value;
  return joint === undefined || sump === undefined ? name : text.jointInSump(joint.label, sump.label);
}

export const sumpName = (sump: string) => sumps.value.get(sump)?.value.label ?? sump;

const sumpLabel = (joint: JointView) => sumpName(joint.sump);

/** The same where it stands alone. */
export function jointOfSump(name: string): string {
  const joint = joints.value.get(name)?.value;
  return joint === undefined ? name : text.jointOfSump(joint.label, sumpLabel(joint));
}

/** A probe by its label and its identifier: the one is on the drawing, the other on the device. */
export function probeName(name: string): string {
  const label = probes.value.get(name)?.value.label ?? name;
  return label === name ? name : text.probeName(label, name);
}

/** Replaces everything by what the server says the site is now. */
export function takeSite(view: SiteView): void {
  batch(() => {
    head.value = { site: view.site, name: view.name, timeZone: view.timeZone };
    recording.value = view.recording;
    lots.value = view.lots;
    rain.value = view.rain;
    forecast.value = view.forecast;
    warnings.value = view.warnings;
    replace(sumps, view.sumps, (sump) => sump.sump);
    replace(joints, view.joints, (joint) => joint.joint);
    replace(probes, view.probes, (probe) => probe.probe);
  });
}

export const takeSump = (view: SumpView) => put(sumps, view.sump, view);
export const takeJoint = (view: JointView) => put(joints, view.joint, view);
export const takeProbe = (view: ProbeView) => put(probes, view.probe, view);

/** Forgets everything: somebody signed out. */
export function forgetSite(): void {
  batch(() => {
    head.value = null;
    quarantined.value = null;
    lots.value = [];
    rain.value = [];
    forecast.value = null;
    warnings.value = [];
    for (const things of [sumps, joints, probes]) things.value = new Map();
  });
}

function replace<T>(things: Signal<ReadonlyMap<string, Signal<T>>>, views: readonly T[], nameOf: (view: T) => string): void {
  const before = things.peek();
  const after = new Map<string, Signal<T>>();
  for (const view of views) {
    const kept = before.get(nameOf(view)) ?? signal(view);
    kept.value = view;
    after.set(nameOf(view), kept);
  }
  things.value = after;
}

function put<T>(things: Signal<ReadonlyMap<string, Signal<T>>>, name: string, view: T): void {
  const known = things.peek().get(name);
  if (known !== undefined) known.value = view;
  else things.value = new Map([...things.peek(), [name, signal(view)]]);
}
