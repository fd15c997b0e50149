import type { JointView } from '../../../edge/site/views/joint.ts';
import { now } from '../../live/clock.ts';
import { factsNow, linkLost } from '../../live/facts.ts';
import { probes } from '../../live/store.ts';

/** The air beside a joint by its ambient probe. */
export interface LiveAir {
  readonly probe: string;
  readonly celsius: number;
  /** Null: it measures none, or has not for too long. */
  readonly humidityPercent: number | null;
}

/** Null: no such probe, or no reading of it within the gap limit, or nobody to ask. */
export function liveAir(view: JointView): LiveAir | null {
  const name = view.probes.find(({ role }) => role === 'ambient')?.probe;
  const probe = name === undefined ? undefined : probes.value.get(name)?.value;
  if (probe == null || probe.latest === null || linkLost()) return null;
  const isFresh = (at: string) => now.peek() - Date.parse(at) <= view.scheduleDetail.gapLimitMinutes * 60_000;
  if (!isFresh(probe.latest.at)) return null;
  const { humidity } = probe;
  const round = (value: number) => Math.round(value * 10) / 10;
  return {
    probe: probe.probe,
    celsius: round(probe.latest.celsius),
    humidityPercent: humidity !== null && isFresh(humidity.at) ? round(humidity.percent) : null,
  };
}

/** What the probe on the joint shows now; null: no reading is of now. */
export function liveSurface(view: JointView): Pick<LiveAir, 'probe' | 'celsius'> | null {
  const { reading } = factsNow(view);
  if (reading === null || reading.old) return null;
  return { probe: reading.probe, celsius: Math.round(reading.celsius * 10) / 10 };
}
