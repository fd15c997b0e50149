import { compileRateTable } from '../../cure/rateTable.ts';
import { requiredPpmMs, type Schedule, stagesFor } from '../../cure/schedule.ts';
import { scheduleNamed } from '../../site/refusals/setup.ts';
import { DEFAULT_HUMIDITY_UNCERTAINTY_PERCENT, DEFAULT_UNCERTAINTY_CELSIUS } from '../../site/said/instruments.ts';
import type { Sump } from '../../site/state/sump.ts';
import type { LiveSite } from '../liveSite.ts';
import type { SumpOutlook } from './plan.ts';

type Plan = SumpOutlook['plans'][number];

/** Material at the middle of the range in which it is used; without one, at room temperature. */
const ROOM_MILLI_C = 20_000;

/** Lay-ups that may come on a sump: parts of its sequence and other joints that are not laid up, then each schedule by itself. */
export function layUpPlanOf(live: LiveSite, sump: Sump): Plan[] {
  const ahead = live.air.ahead(live.air.probe);
  if (ahead === null) return [];
  const { state } = live;
  const laidUp = new Set(
    sump.joints.flatMap((name) => {
      const joint = state.joints.get(name);
      return joint?.part == null || joint.laidUpMs === null ? [] : [joint.part];
    }),
  );
  const lag = live.outlooks.prior;
  const planOf = (definition: Schedule, part: string | null, label: string, bead: number | null): Plan => {
    const { use, mix, law } = definition;
    const materialMilliC = use === undefined ? ROOM_MILLI_C : Math.round((use.minCelsius + use.maxCelsius) * 500);
    return {
      schedule: definition.name,
      title: definition.title,
      part,
      label,
      use: use ?? null,
      mix: mix ?? null,
      plan: {
        materialMilliC,
        input: {
          joint: part ?? definition.name,
          nowMs: live.nowMs,
          table: state.schedules.get(definition.name)?.table ?? compileRateTable(definition),
          gapLimitMs: Math.round(definition.gapLimitMinutes * 60_000),
          stages: stagesFor(definition, bead).map(({ stage, requiredHours }) => ({
            stage,
            requiredPpmMs: requiredPpmMs(requiredHours),
          })),
          follows: law.kind === 'moisture' ? 'air' : 'material',
          guardMilliC: DEFAULT_UNCERTAINTY_CELSIUS * 1000,
          airGuardMilliC: DEFAULT_UNCERTAINTY_CELSIUS * 1000,
          humidityGuardMilliPercent: DEFAULT_HUMIDITY_UNCERTAINTY_PERCENT * 1000,
          lag,
          heat: null,
          air: ahead.air,
          error: ahead.error,
          stream: 0,
        },
      },
    };
  };
  const parts = sump.sequence.parts
    .filter(({ part }) => !laidUp.has(part))
    .flatMap(({ part, label, schedule }) => {
      const definition = scheduleNamed(state, schedule);
      const joint = sump.joints.map((name) => state.joints.get(name)).find((each) => each?.part === part);
      return definition === undefined ? [] : [planOf(definition, part, joint?.label ?? label, joint?.beadMillimetres ?? null)];
    });
  const partless = sump.joints
    .map((name) => state.joints.get(name))
    .flatMap((joint) =>
      joint === undefined || joint.part !== null || joint.laidUpMs !== null
        ? []
        : [planOf(joint.schedule.definition, null, joint.label, joint.beadMillimetres)],
    );
  const schedules = live.views.schedules().map((definition) => planOf(definition, null, definition.title, null));
  return [...parts, ...partless, ...schedules].filter(
    ({ plan: { input } }) => input.table.referenceHumidityMilliPercent === undefined || input.air.humidityMilliPercent !== null,
  );
}
