import { useSignal } from '@preact/signals';
import { hardnessOf, proofVerdict } from '../../../edge/site/findings/proofs.ts';
import type { JointView } from '../../../edge/site/views/joint.ts';
import { numbersOf } from '../../answer/typed.ts';
import { jointInSump, jointOfSump } from '../../live/store.ts';
import { offerUndo } from '../../live/undo.ts';
import { Choice } from '../../parts/Choice.tsx';
import { Field, ProblemNote, typed, useRecord } from '../../parts/form.tsx';
import { Icon } from '../../parts/Icon.tsx';
import { NumberField } from '../../parts/NumberField.tsx';
import { Sheet, SheetActions } from '../../parts/Sheet.tsx';
import { instantOf, TimePick } from '../../parts/TimePick.tsx';
import { sayingText } from '../../text/sayingText.ts';
import { workText } from '../../text/workText.ts';

type Surface = keyof typeof workText.proof.surfaces;

/** Hardness and surface of a cured joint, with the verdict before anything is put on record. */
export function Proof({ view, onClose }: { view: JointView; onClose: () => void }) {
  const written = useSignal('');
  const minimum = useSignal<number | null>(null);
  const surface = useSignal<Surface>('none');
  const at = useSignal<number | null>(null);
  const { busy, problem, record } = useRecord();
  const words = workText.proof;

  const readings = numbersOf(written.value);
  const isBad = readings === null || readings.some((reading) => reading < 0 || reading > 100);
  const isMeasured = !isBad && readings.length > 0 && minimum.value !== null && minimum.value > 0;
  const proof = {
    hardness: isMeasured ? { readings, makerMinimum: minimum.value ?? 0 } : null,
    surface: surface.value === 'none' ? null : surface.value,
  };
  const hardness = hardnessOf(proof);
  const isEmpty = proof.hardness === null && proof.surface === null;
  // Readings without the maker's minimum, or the other way round, would be lost without a word.
  const isHalf = !isMeasured && (written.value.trim() !== '' || minimum.value !== null);

  const save = async (submitted: Event) => {
    submitted.preventDefault();
    const recorded = await record({
      kind: 'proof.recorded',
      joint: view.joint,
      at: instantOf(at),
      ...(proof.hardness === null ? {} : { hardness: proof.hardness }),
      ...(proof.surface === null ? {} : { surface: proof.surface }),
    });
    if (recorded === null) return;
    offerUndo(view.joint, recorded.seq, sayingText.recorded.proof(jointInSump(view.joint)));
    onClose();
  };
  return (
    <Sheet title={words.title} about={jointOfSump(view.joint)} onClose={onClose}>
      <form class="form" onSubmit={save}>
        <p>{words.lead}</p>
        <Field
          label={words.readings}
          hint={isBad ? words.badReading : words.readingsHint}
          path="hardness.readings"
          problem={problem.value}
        >
          {(attributes) => (
            <input
              {...attributes}
              aria-invalid={isBad || attributes['aria-invalid']}
              type="text"
              inputMode="text"
              autocomplete="off"
              value={written.value}
              onInput={(event) => {
                written.value = typed(event);
              }}
            />
          )}
        </Field>
        <NumberField
          label={words.minimum}
          hint={words.minimumHint}
          path="hardness.makerMinimum"
          problem={problem.value}
          value={minimum}
        />
        <Choice
          label={words.surface}
          names={words.surfaces}
          value={surface.value}
          onChoose={(value) => {
            surface.value = value;
          }}
        />
        {!isEmpty && !isHalf && <Verdict verdict={proofVerdict(proof)} hardness={hardness} />}
        <TimePick at={at} label={words.at} />
        <ProblemNote problem={problem.value} fields={['hardness']} />
        <SheetActions confirm={words.confirm} busy={busy.value} disabled={isEmpty || isHalf} onCancel={onClose} />
      </form>
    </Sheet>
  );
}

interface VerdictProps {
  verdict: ReturnType<typeof proofVerdict>;
  hardness: ReturnType<typeof hardnessOf>;
}

function Verdict({ verdict, hardness }: VerdictProps) {
  const words = workText.proof;
  const look = verdict === 'pass' ? 'is-well' : verdict === 'fail' ? 'is-void' : 'is-doubt';
  return (
    <p class={`why ${look}`} role="status">
      <Icon name={verdict === 'pass' ? 'check' : verdict === 'fail' ? 'stop' : 'wait'} />
      <span>
        {words.verdict[verdict]}{' '}
        {hardness !== null &&
          words.mean((hardness.meanHundredths / 100).toFixed(1), (hardness.neededHundredths / 100).toFixed(1))}
      </span>
    </p>
  );
}
