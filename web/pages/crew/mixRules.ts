import { type ReadonlySignal, useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { MixRules } from '../../../edge/cure/mix.ts';
import type { Schedule } from '../../../edge/cure/schedule.ts';
import { call, type Problem } from '../../api/call.ts';
import type { JointSchedule, Lots } from '../../api/shapes.ts';
import { lots } from '../../live/store.ts';

/** What a mix for a joint is judged by. */
interface Rules {
  /** The joint's own version of its schedule. */
  readonly schedule: Schedule;
  /** Of lots that have a sheet of their own. */
  readonly sheets: ReadonlyMap<string, MixRules>;
}

interface Asked {
  readonly rules: ReadonlySignal<Rules | null>;
  readonly problem: ReadonlySignal<Problem | null>;
}

/** The rules by which the service judges a mix for `joint`, asked anew whenever a lot is added. */
export function useMixRules(joint: string): Asked {
  const rules = useSignal<Rules | null>(null);
  const problem = useSignal<Problem | null>(null);
  const known = lots.value;
  useEffect(() => {
    let isGone = false;
    const ask = async () => {
      const [own, all] = await Promise.all([
        call<JointSchedule>('GET', `/api/joints/${encodeURIComponent(joint)}/schedule`),
        call<Lots>('GET', '/api/lots'),
      ]);
      if (isGone) return;
      problem.value = !own.ok ? own.problem : !all.ok ? all.problem : null;
      if (!own.ok || !all.ok) return;
      const sheets = all.value.lots.flatMap(({ lot, sheet }): [string, MixRules][] => (sheet === null ? [] : [[lot, sheet]]));
      rules.value = { schedule: own.value.definition, sheets: new Map(sheets) };
    };
    void ask();
    return () => {
      isGone = true;
    };
  }, [joint, known]);
  return { rules, problem };
}

/** The sheet of the chosen lot wins over the schedule. Null: the material comes in measured kits. */
export function rulesFor({ schedule, sheets }: Rules, resinLot: string): MixRules | null {
  return schedule.mix === undefined ? null : (sheets.get(resinLot) ?? schedule.mix);
}
