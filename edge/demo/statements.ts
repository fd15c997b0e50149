import type { z } from 'zod';
import type { Statement } from '../site/entries.ts';
import { AIR, JOINTS, NOTES, SITE, SUMPS } from './scenario.ts';

const HOUR_MS = 3_600_000;

export function msAgo(nowMs: number, hoursAgo: number): number {
  return Math.round(nowMs - hoursAgo * HOUR_MS);
}

/** What the scenario's people said, in the order in which the site can take it. */
export function statementsAt(nowMs: number): z.input<typeof Statement>[] {
  const at = (hoursAgo: number) => new Date(msAgo(nowMs, hoursAgo)).toISOString();
  const laidUp = JOINTS.flatMap(({ joint, layUp }) => (layUp === null ? [] : [{ joint, layUp }]));
  return [
    { kind: 'site.described', ...SITE },
    { kind: 'probe.registered', probe: AIR.probe, role: 'ambient', label: AIR.label },
    ...JOINTS.flatMap(({ probes }) =>
      probes.map(({ probe, label }) => ({ kind: 'probe.registered' as const, probe, role: 'material' as const, label })),
    ),
    ...SUMPS.map((sump) => ({ kind: 'sump.added' as const, ...sump })),
    ...JOINTS.map(({ joint, sump, label, schedule, probes }) => ({
      kind: 'joint.added' as const,
      joint,
      sump,
      label,
      schedule,
      probes: probes.map(({ probe }) => probe),
      ambient: AIR.probe,
    })),
    ...laidUp.map(({ joint, layUp }) => ({ kind: 'joint.laidUp' as const, joint, at: at(layUp.hoursAgo), note: layUp.note })),
    ...NOTES.map(({ hoursAgo, ...note }) => ({ kind: 'note.added' as const, at: at(hoursAgo), ...note })),
  ];
}
