import { useSignal } from '@preact/signals';
import { useMemo } from 'preact/hooks';
import type { OutlookInput } from '../../../edge/cure/outlook/input.ts';
import { PPM } from '../../../edge/cure/schedule.ts';
import type { SumpOutlook } from '../../api/shapes.ts';
import { BandChart } from '../../chart/BandChart.tsx';
import { PlainTable } from '../../chart/PlainTable.tsx';
import { isHeaterOn } from '../../live/facts.ts';
import { joints as allJoints } from '../../live/store.ts';
import { fullMoment, hoursDone, temperature, unitSign } from '../../look/format.ts';
import { unit } from '../../look/settings.ts';
import { planText } from '../../text/planText.ts';
import { Basis } from './Basis.tsx';
import { bandDrawing, bandSummary, drawnUntil, type RestsOn } from './bandDrawing.ts';
import { PickField } from './PickField.tsx';
import { type Aim, jointsOf, type PlanAnswer, type Proposal } from './planAnswer.ts';
import { useRested } from './useRested.ts';
import { useSolved } from './useSolved.ts';

const words = planText.chart;
const HOUR_MS = 3_600_000;
const REST_MS = 250;

interface Props {
  outlook: SumpOutlook;
  aim: Aim;
  answer: PlanAnswer;
  proposal: Proposal | null;
}

/** How warm the joint that decides will be, with what is tried out and without. */
export function JointAhead({ outlook, aim, answer, proposal }: Props) {
  // Empty: the one that decides.
  const picked = useSignal('');
  const needed = jointsOf(aim.needs);
  const choices = outlook.joints.filter(({ joint }) => needed.includes(joint));
  const drawable = choices.filter(({ input }) => input !== null);
  const joint =
    choices.find((each) => each.joint === picked.value) ??
    drawable.find((each) => each.joint === answer.decidedBy) ??
    drawable[0] ??
    choices[0];
  if (joint === undefined) return null;
  const latest = answer.joints.find((each) => each.joint === joint.joint)?.ready.latest ?? null;
  return (
    <section class="panel plan-warmth" aria-labelledby="joint-ahead-title">
      <h2 id="joint-ahead-title">{words.title}</h2>
      {choices.length > 1 && (
        <PickField
          label={words.joint}
          options={choices.map((each) => ({ value: each.joint, label: each.label }))}
          value={joint.joint}
          onChange={(chosen) => {
            picked.value = chosen;
          }}
        />
      )}
      {joint.input === null ? (
        <p>{words.nameless}</p>
      ) : (
        <Drawn
          label={joint.label}
          restsOn={restsOn(joint.joint, proposal)}
          input={joint.input}
          timeZone={outlook.timeZone}
          dueMs={aim.dueMs}
          latest={latest}
          proposal={proposal?.joints.includes(joint.joint) ? proposal : null}
        />
      )}
      {joint.basis !== null && (
        <Basis basis={joint.basis} what={allJoints.value.get(joint.joint)?.value.heating?.what ?? 'heater'} />
      )}
    </section>
  );
}

/** What is tried out counts before what runs. */
function restsOn(joint: string, proposal: Proposal | null): RestsOn {
  const change = proposal?.joints.includes(joint) ? proposal.change : null;
  if (change?.hold !== undefined) return 'held';
  return change?.heat !== undefined || isHeaterOn(joint) ? 'heated' : null;
}

interface DrawnProps {
  label: string;
  restsOn: RestsOn;
  input: OutlookInput;
  timeZone: string;
  dueMs: number;
  latest: string | null;
  proposal: Proposal | null;
}

function Drawn({ label, restsOn: rests, input, timeZone, dueMs, latest, proposal }: DrawnProps) {
  const untilMs = drawnUntil(input.nowMs, dueMs, latest);
  // A drawing takes longer than a slider waits.
  const change = useRested(proposal, REST_MS)?.change ?? null;
  const question = useMemo(() => ({ input, change, untilMs }), [input, change, untilMs]);
  const solved = useSolved('band', question).answer?.value ?? null;
  const drawing = useMemo(() => {
    if (solved === null || solved.band === null) return null;
    const { band, before } = solved;
    return { band, drawing: bandDrawing({ input, timeZone, dueMs, band, before: before === band ? null : before }) };
  }, [solved, dueMs, timeZone]);
  if (drawing === null) return <p class="waiting">{words.working}</p>;
  const { band } = drawing;
  return (
    <>
      <BandChart
        drawing={drawing.drawing}
        axis={words.axis(unitSign())}
        summary={bandSummary(label, input, band, rests)}
        keyName={planText.key}
      />
      <p class="soft">{planText.zone(timeZone)}</p>
      <PlainTable
        key={unit.value}
        title={planText.table}
        columns={[words.tableTime, words.tableLikely, words.tableBand, words.tableHours]}
        rows={() =>
          band.atMs.map((atMs, index) => {
            const [low, likely, high] = band.milliC[index] ?? [0, 0, 0];
            const credit = band.creditPpmMs[index]?.[1] ?? 0;
            return [
              fullMoment(atMs),
              temperature(likely / 1000),
              words.between(temperature(low / 1000), temperature(high / 1000)),
              hoursDone(credit / PPM / HOUR_MS),
            ];
          })
        }
      />
    </>
  );
}
