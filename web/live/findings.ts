import { computed } from '@preact/signals';
import { waits } from '../answer/findings.ts';
import { joints, sumps } from './store.ts';

/** Every finding on the site, of its sumps and their joints. */
export const findingsOnSite = computed(() => [
  ...[...sumps.value.values()].flatMap((sump) => sump.value.findings),
  ...[...joints.value.values()].flatMap((joint) => joint.value.findings),
]);

/** How many wait for somebody. */
export const waitingCount = computed(() => findingsOnSite.value.filter(waits).length);
