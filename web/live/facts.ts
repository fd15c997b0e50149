import { type ReadonlySignal, type Signal, useComputed } from '@preact/signals';
import type { JointView } from '../../edge/site/views/joint.ts';
import { type JointFacts, jointFacts } from '../answer/joint.ts';
import { now } from './clock.ts';
import { link } from './link.ts';
import { joints, probes, recording } from './store.ts';

const probeOf = (name: string) => probes.value.get(name)?.value;

export const linkLost = () => link.value.state !== 'live';

/** Whether somebody said that a heater, and not just a cover, is on at a joint. */
export const isHeaterOn = (joint: string) => joints.value.get(joint)?.value.heating?.what === 'heater';

/** The facts of a joint at this moment, for whoever shows it. */
export function factsNow(view: JointView): JointFacts {
  return jointFacts(view, { lost: linkLost(), recording: recording.value, nowMs: now.value, probeOf });
}

/** The same, redrawn only when they change and not with every tick of the clock. */
export function useFacts(view: Signal<JointView>): ReadonlySignal<JointFacts> {
  const key = useComputed(() => JSON.stringify(factsNow(view.value)));
  return useComputed(() => JSON.parse(key.value) as JointFacts);
}
