import { type Signal, useSignal } from '@preact/signals';
import { useState } from 'preact/hooks';
import { Link, useLocation } from 'wouter-preact';
import { type Amount, doseOf, type MixRules, millilitresOf } from '../../../edge/cure/mix.ts';
import type { JointView } from '../../../edge/site/views/joint.ts';
import type { Problem } from '../../api/call.ts';
import { mayWrite } from '../../live/session.ts';
import { head, jointInSump, jointOfSump, joints, lots, probeName } from '../../live/store.ts';
import { offerUndo } from '../../live/undo.ts';
import { limit, temperature } from '../../look/format.ts';
import { Caution } from '../../parts/Caution.tsx';
import { Cautions } from '../../parts/Cautions.tsx';
import { Choice } from '../../parts/Choice.tsx';
import { ColdNote } from '../../parts/ColdNote.tsx';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { Icon } from '../../parts/Icon.tsx';
import { Missing } from '../../parts/Missing.tsx';
import { NumberField, TemperatureField } from '../../parts/NumberField.tsx';
import { SelectField } from '../../parts/SelectField.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { instantOf, TimePick } from '../../parts/TimePick.tsx';
import { jointText } from '../../text/jointText.ts';
import { sayingText } from '../../text/sayingText.ts';
import { text } from '../../text/text.ts';
import { workText } from '../../text/workText.ts';
import { DoseNote, MeasuredNote } from './Dose.tsx';
import { liveAir, liveSurface } from './liveAir.ts';
import { rulesFor, useMixRules } from './mixRules.ts';
import '../../style/joint.css';
import '../../style/work.css';

/** How much catalyst for the resin that is about to be used, and what was really mixed. */
export function MixPage({ joint }: { joint: string }) {
  const found = joints.value.get(joint);
  if (head.value === null) return <p class="waiting">{text.page.waiting}</p>;
  if (found === undefined) return <Missing words={jointText.missing} />;
  return <Asked view={found.value} />;
}

function Asked({ view }: { view: JointView }) {
  const { rules, problem } = useMixRules(view.joint);
  const isKit = rules.value !== null && rules.value.schedule.mix === undefined;
  return (
    <div class="page narrow mix-page">
      <div class="joint-head">
        <Link href={`/joints/${encodeURIComponent(view.joint)}`} class="back">
          <Icon name="back" />
          {jointOfSump(view.joint)}
        </Link>
        <h1 tabIndex={-1}>{isKit ? workText.mix.titleKit : workText.mix.title}</h1>
      </div>
      <ProblemNote problem={problem.value} />
      {rules.value === null ? (
        problem.value === null && <p class="waiting">{text.page.loading}</p>
      ) : (
        <MixForm view={view} asked={rules.value} />
      )}
      <Caution />
    </div>
  );
}

type Unit = Amount['unit'];

function MixForm({ view, asked }: { view: JointView; asked: Parameters<typeof rulesFor>[0] }) {
  const words = workText.mix;
  const resinLot = useSignal('');
  const rules = rulesFor(asked, resinLot.value);
  const hasSheet = asked.sheets.has(resinLot.value);
  const [air] = useState(() => liveAir(view));
  const [surface] = useState(() => liveSurface(view));
  const amount = useSignal<number | null>(rules === null ? null : 1);
  const unit = useSignal<Unit>('quart');
  const resinCelsius = useSignal<number | null>(surface?.celsius ?? null);
  const airCelsius = useSignal<number | null>(air?.celsius ?? null);
  const catalystLot = useSignal('');
  const measured = useSignal<number | null>(null);
  const at = useSignal<number | null>(null);
  const note = useSignal('');
  const { busy, problem, record } = useRecord();
  const [, navigate] = useLocation();

  const resin = amount.value === null || amount.value <= 0 ? null : { value: amount.value, unit: unit.value };
  const dose =
    rules !== null && resin !== null && resinCelsius.value !== null && airCelsius.value !== null
      ? doseOf(rules, { amount: resin, resinCelsius: resinCelsius.value, airCelsius: airCelsius.value })
      : null;
  const save = async (submitted: Event) => {
    submitted.preventDefault();
    if (resinCelsius.value === null) return;
    const recorded = await record({
      kind: 'mix.recorded',
      joint: view.joint,
      at: instantOf(at),
      resinCelsius: resinCelsius.value,
      ...(rules === null || resin === null ? {} : { resin }),
      ...(measured.value === null ? {} : { catalystMillilitres: measured.value }),
      ...(airCelsius.value === null ? {} : { airCelsius: airCelsius.value }),
      ...(resinLot.value === '' ? {} : { resinLot: resinLot.value }),
      ...(catalystLot.value === '' ? {} : { catalystLot: catalystLot.value }),
      ...(note.value.trim() === '' ? {} : { note: note.value.trim() }),
    });
    if (recorded === null) return;
    offerUndo(view.joint, recorded.seq, sayingText.recorded.mix(jointInSump(view.joint)));
    navigate(`/joints/${encodeURIComponent(view.joint)}`);
  };
  const { use } = asked.schedule;
  const isOutOfUse =
    use !== undefined &&
    resinCelsius.value !== null &&
    (resinCelsius.value < use.minCelsius || resinCelsius.value > use.maxCelsius);
  return (
    <form class="page" onSubmit={save}>
      <section class="panel" aria-label={rules === null ? words.titleKit : words.lead}>
        <p>{rules === null ? words.kit : words.lead}</p>
        <ColdNote view={view} />
        {rules !== null && (
          <>
            <NumberField label={words.amount} path="resin.value" problem={problem.value} value={amount} required />
            <Choice
              label={words.unit}
              names={words.units}
              value={unit.value}
              onChoose={(value) => {
                unit.value = value;
              }}
            />
          </>
        )}
        <div class="fields">
          <TemperatureField
            label={rules === null ? words.material : words.resin}
            hint={hintOf(surface, resinCelsius.value, words.resinFrom) ?? words.resinHint}
            path="resinCelsius"
            problem={problem.value}
            celsius={resinCelsius}
            required
          />
          <TemperatureField
            label={words.air}
            hint={hintOf(air, airCelsius.value, words.airFrom)}
            path="airCelsius"
            problem={problem.value}
            celsius={airCelsius}
          />
        </div>
        <FarNote name={rules === null ? words.material : words.resin} live={surface} celsius={resinCelsius.value} />
        <FarNote name={words.air} live={air} celsius={airCelsius.value} />
        {isOutOfUse && (
          <p class="why is-doubt" role="status">
            <Icon name="warning" />
            <span>{words.outOfUse(limit(use.minCelsius), limit(use.maxCelsius))}</span>
          </p>
        )}
        <LotFields isKit={rules === null} resinLot={resinLot} catalystLot={catalystLot} />
      </section>
      {rules !== null && (
        <section class="panel" aria-label={words.result}>
          <h2>{words.result}</h2>
          {hasSheet && <p>{words.sheet}</p>}
          {dose === null ? <p class="soft">{words.fillIn}</p> : <DoseNote dose={dose} rules={rules} />}
          <p class="soft">{words.source(rules.source)}</p>
        </section>
      )}
      <Cautions title={words.cautions} cautions={words.caution} />
      {mayWrite() && (
        <section class="panel" aria-label={words.record}>
          <h2>{words.record}</h2>
          {rules !== null && resin !== null && (
            <Measured
              rules={rules}
              resin={resin}
              dose={dose?.kind === 'dose' ? dose.catalystMillilitres : null}
              measured={measured}
              problem={problem.value}
            />
          )}
          <TimePick at={at} label={words.at} />
          <TextField label={words.note} path="note" problem={problem.value} value={note} />
          <ProblemNote
            problem={problem.value}
            fields={['resinCelsius', 'airCelsius', 'note', 'resin.value', 'catalystMillilitres']}
          />
          <button type="submit" class="button primary" disabled={busy.value || resinCelsius.value === null}>
            {busy.value ? text.action.saving : words.save}
          </button>
        </section>
      )}
    </form>
  );
}

/** Farther than this from what a live probe shows, °C, a typed temperature may be a slip. */
const FAR_CELSIUS = 5;

/** What a live probe shows. */
type Live = { readonly probe: string; readonly celsius: number } | null;

/** That a probe filled the field in. */
function hintOf(live: Live, celsius: number | null, filledIn: (probe: string) => string): string | undefined {
  return live === null || celsius !== live.celsius ? undefined : filledIn(probeName(live.probe));
}

/** That what was typed is far from what a live probe shows. */
function FarNote({ name, live, celsius }: { name: string; live: Live; celsius: number | null }) {
  if (live === null || celsius === null || Math.abs(celsius - live.celsius) <= FAR_CELSIUS) return null;
  return (
    <p class="why is-doubt" role="status">
      <Icon name="warning" />
      <span>{workText.mix.differs(name, temperature(celsius), probeName(live.probe), temperature(live.celsius))}</span>
    </p>
  );
}

interface LotProps {
  isKit: boolean;
  resinLot: Signal<string>;
  catalystLot: Signal<string>;
}

function LotFields({ isKit, resinLot, catalystLot }: LotProps) {
  const words = workText.mix;
  const named = (materials: readonly string[]) => [
    { value: '', label: words.noLot },
    ...lots.value.flatMap(({ lot, label, material }) =>
      materials.includes(material) ? [{ value: lot, label: label === lot ? lot : text.probeName(label, lot) }] : [],
    ),
  ];
  return (
    <div class="fields">
      <SelectField
        label={isKit ? words.materialLot : words.resinLot}
        path="resinLot"
        problem={null}
        options={named(isKit ? ['resin', 'epoxy', 'sealant'] : ['resin'])}
        value={resinLot}
      />
      {!isKit && (
        <SelectField
          label={words.catalystLot}
          path="catalystLot"
          problem={null}
          options={named(['catalyst'])}
          value={catalystLot}
        />
      )}
    </div>
  );
}

interface MeasuredProps {
  rules: MixRules;
  resin: Amount;
  /** What was worked out, mL; null: nothing was. */
  dose: number | null;
  measured: Signal<number | null>;
  problem: Problem | null;
}

/** What really went in: it is measured, never taken over from the dose. */
function Measured({ rules, resin, dose, measured, problem }: MeasuredProps) {
  const words = workText.mix;
  const resinMillilitres = millilitresOf(resin, rules.resinKgPerLitre);
  return (
    <>
      <NumberField
        label={words.measured}
        placeholder={dose === null ? undefined : words.dosed(dose.toFixed(1))}
        required
        hint={words.measuredHint}
        path="catalystMillilitres"
        problem={problem}
        value={measured}
      />
      {measured.value !== null && measured.value > 0 && (
        <MeasuredNote rules={rules} resinMillilitres={resinMillilitres} catalystMillilitres={measured.value} />
      )}
    </>
  );
}
