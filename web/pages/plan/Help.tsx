import type { Signal } from '@preact/signals';
import { useMemo } from 'preact/hooks';
import { SAFE_SHARE } from '../../../edge/cure/outlook/booking.ts';
import type { SumpView } from '../../../edge/site/views/sump.ts';
import { tenthsOf } from '../../answer/outlook.ts';
import type { SumpOutlook } from '../../api/shapes.ts';
import { now } from '../../live/clock.ts';
import { mayWrite } from '../../live/session.ts';
import { joints as allJoints } from '../../live/store.ts';
import { difference, limit, moment } from '../../look/format.ts';
import { unit } from '../../look/settings.ts';
import { Cautions } from '../../parts/Cautions.tsx';
import { Choice } from '../../parts/Choice.tsx';
import { likelyWords } from '../../parts/Likely.tsx';
import { aheadText } from '../../text/aheadText.ts';
import { planText } from '../../text/planText.ts';
import { workText } from '../../text/workText.ts';
import { Heating } from '../ahead/Heating.tsx';
import { Advice } from './Advice.tsx';
import { areHoursThere } from './aims.ts';
import type { HeaterChoice } from './heats.ts';
import {
  FIRST_DRAFT,
  type HelpDraft,
  HOLD_RANGE,
  msOfQuarter,
  offSlider,
  onSlider,
  quarterOf,
  quartersUntil,
} from './helpDraft.ts';
import { type Aim, jointsOf, type PlanAnswer, type Proposal } from './planAnswer.ts';
import { RecordHeat } from './RecordHeat.tsx';
import { Slider } from './Slider.tsx';
import type { Answers } from './solve.ts';
import { useAdvice } from './useAdvice.ts';
import { usePlanAnswer } from './usePlanAnswer.ts';

const words = planText.help;

interface Props {
  view: SumpView;
  outlook: SumpOutlook;
  aim: Aim;
  /** Without doing anything. */
  before: PlanAnswer;
  draft: Signal<HelpDraft>;
  /** What is tried out; null: no joint is chosen. */
  proposal: Proposal | null;
  chosenJoints: readonly string[];
  heater: HeaterChoice;
  isLost: boolean;
}

/** What would make the appointment hold: what is just enough, and a bench to try things out on. */
export function Help(props: Props) {
  const { view, outlook, before, aim, draft, chosenJoints, heater, isLost } = props;
  const isSafe = before.chance !== null && before.chance >= SAFE_SHARE;
  const isThere = areHoursThere(before.ready, now.value);
  const advice = useAdvice(outlook, aim, heater.heat, before.chance !== null && !isSafe && !isThere);
  const toRecord = recordable(draft.value, chosenJoints, advice.hold.value ?? null);
  return (
    <section class="panel plan-help" aria-labelledby="help-title">
      <h2 id="help-title">{words.title}</h2>
      {before.chance === null ? (
        <p>{words.nameless}</p>
      ) : isThere ? (
        <p>{planText.aim.there}</p>
      ) : (
        <>
          {isSafe ? <p>{words.enough}</p> : <Advice {...props} advice={advice} />}
          <Bench {...props} />
        </>
      )}
      <Cautions title={workText.heat.cautionsTitle} cautions={workText.heat.cautions} />
      {jointsOf(aim.needs).map((name) => {
        const joint = allJoints.value.get(name)?.value;
        return (
          joint !== undefined &&
          joint.heating !== null &&
          !joint.heating.sump && (
            <div key={name}>
              <h3>{joint.label}</h3>
              <Heating view={joint} isLost={isLost} />
            </div>
          )
        );
      })}
      <OfSump view={view} isLost={isLost} />
      {mayWrite() && !isLost && <RecordHeat view={view} {...toRecord} />}
    </section>
  );
}

/** What the bench shows; while nobody has touched it, what is advised. */
function recordable(draft: HelpDraft, joints: readonly string[], hold: Answers['hold']) {
  const { way, heater, thermostatCelsius, holdCelsius } = draft;
  if (draft === FIRST_DRAFT)
    return hold === null ? { joints, celsius: null } : { joints: [...new Set(hold.joints)], celsius: hold.milliC / 1000 };
  return { joints, celsius: way === 'hold' ? holdCelsius : heater === 'set' ? thermostatCelsius : null };
}

/** What is on the whole sump stands once, and not with each of its joints. */
function OfSump({ view, isLost }: { view: SumpView; isLost: boolean }) {
  const joint = view.joints
    .flatMap((name) => allJoints.value.get(name)?.value ?? [])
    .find(({ heating }) => heating?.sump === true);
  return joint === undefined ? null : <Heating view={joint} isLost={isLost} />;
}

function Bench({ outlook, aim, before, draft, proposal, chosenJoints, heater }: Props) {
  const set = (change: Partial<HelpDraft>) => {
    draft.value = { ...draft.value, ...change };
  };
  const { way, fromMs, holdCelsius, thermostatCelsius } = draft.value;
  const asOfMs = Math.floor(now.value / 60_000) * 60_000;
  const quarters = quartersUntil(asOfMs, aim.dueMs);
  const range = HOLD_RANGE[unit.value];
  const rise = difference(heater.heat.milliC / 1000);
  const degrees = (label: string, celsius: number, take: (celsius: number) => void, hint?: string) => (
    <Slider
      label={label}
      shown={limit(celsius)}
      {...(hint === undefined ? {} : { hint })}
      {...range}
      value={onSlider(celsius, unit.value)}
      onInput={(shown) => take(offSlider(shown, unit.value))}
    />
  );
  return (
    <div class="bench">
      <h3>{words.tryTitle}</h3>
      <Choice label={words.way} names={words.ways} value={way} onChoose={(value) => set({ way: value })} />
      <JointTicks outlook={outlook} aim={aim} chosen={chosenJoints} onChange={(joints) => set({ joints })} />
      {way === 'hold' ? (
        degrees(words.holdAt, holdCelsius, (celsius) => set({ holdCelsius: celsius }), words.holdHint)
      ) : (
        <>
          <Choice
            label={words.heater}
            names={words.heaters}
            value={draft.value.heater}
            onChoose={(value) => set({ heater: value })}
          />
          {draft.value.heater === 'set'
            ? degrees(words.thermostat, thermostatCelsius, (celsius) => set({ thermostatCelsius: celsius }))
            : heater.heat.kind === 'rise' && <p class="soft">{(heater.isKnown ? words.knownRise : words.usualRise)(rise)}</p>}
        </>
      )}
      <Slider
        label={words.from}
        shown={fromMs === null ? words.fromNow : moment(fromMs, now.value)}
        min={0}
        max={quarters}
        step={1}
        value={Math.min(quarters, quarterOf(fromMs, asOfMs))}
        onInput={(quarter) => set({ fromMs: msOfQuarter(quarter, asOfMs) })}
      />
      {proposal === null ? (
        <p class="why is-doubt">{words.noJoint}</p>
      ) : (
        <Compared outlook={outlook} aim={aim} before={before} proposal={proposal} />
      )}
    </div>
  );
}

interface TicksProps {
  outlook: SumpOutlook;
  aim: Aim;
  chosen: readonly string[];
  onChange: (joints: readonly string[]) => void;
}

function JointTicks({ outlook, aim, chosen, onChange }: TicksProps) {
  const needed = jointsOf(aim.needs);
  if (needed.length < 2) return null;
  return (
    <fieldset class="field">
      <legend>{words.joints}</legend>
      {outlook.joints
        .filter(({ joint }) => needed.includes(joint))
        .map(({ joint, label }) => (
          <label class="tick" key={joint}>
            <input
              type="checkbox"
              checked={chosen.includes(joint)}
              onChange={(event) =>
                onChange(event.currentTarget.checked ? [...chosen, joint] : chosen.filter((each) => each !== joint))
              }
            />
            <span>{label}</span>
          </label>
        ))}
    </fieldset>
  );
}

interface ComparedProps {
  outlook: SumpOutlook;
  aim: Aim;
  before: PlanAnswer;
  proposal: Proposal;
}

/** The answer without and with it, side by side. */
function Compared({ outlook, aim, before, proposal }: ComparedProps) {
  const { answer, standing, isAnew } = usePlanAnswer(outlook, aim, proposal);
  const rows = useMemo(
    () => [
      {
        name: words.chance,
        of: ({ chance }: PlanAnswer) => (chance === null ? words.noChance : aheadText.chance(tenthsOf(chance))),
      },
      { name: words.ready, of: ({ ready }: PlanAnswer) => likelyWords(ready, now.peek()) },
      {
        name: words.safe,
        of: ({ safeFromMs }: PlanAnswer) => (safeFromMs === null ? words.safeNone : moment(safeFromMs, now.peek())),
      },
    ],
    [],
  );
  return (
    <div class={isAnew ? 'compared is-stale' : 'compared'}>
      <table>
        <thead>
          <tr>
            <td />
            <th scope="col">{words.before}</th>
            <th scope="col">{words.after}</th>
          </tr>
        </thead>
        <tbody>
          {rows.map(({ name, of }) => (
            <tr key={name}>
              <th scope="row">{name}</th>
              <td>{of(before)}</td>
              <td>
                <b>{of(answer)}</b>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <p class="soft" role="status" data-full={standing === 'full'}>
        {standing === 'first' ? words.quick : isAnew ? words.anew : ''}
      </p>
    </div>
  );
}
