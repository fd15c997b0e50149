import { useSignal } from '@preact/signals';
import { useId } from 'preact/hooks';
import type { ProbeView } from '../../../edge/site/views.ts';
import { Group, ProblemNote, useRecord } from '../../parts/form.tsx';
import { Sheet, SheetActions } from '../../parts/Sheet.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { text } from '../../text/text.ts';

/** The uncertainty of an uncalibrated digital probe, °C; what the server takes when none is given. */
const DEFAULT_UNCERTAINTY = '0.5';

/** Registers a probe, or changes what is known of one. Its role stays: another spot is another probe. */
export function ProbeForm({ known, onClose }: { known: ProbeView | null; onClose: () => void }) {
  const probe = useSignal(known?.probe ?? '');
  const label = useSignal(known === null || known.label === known.probe ? '' : known.label);
  const role = useSignal<'material' | 'ambient'>(known?.role ?? 'material');
  const uncertainty = useSignal(known?.uncertaintyCelsius == null ? DEFAULT_UNCERTAINTY : String(known.uncertaintyCelsius));
  const { busy, problem, record } = useRecord();
  const name = useId();
  const save = async (event: Event) => {
    event.preventDefault();
    const where = label.value.trim();
    const saved = await record({
      kind: 'probe.registered',
      probe: probe.value.trim(),
      role: role.value,
      // An empty field is no number: the server then says so beside it.
      uncertaintyCelsius: Number.parseFloat(uncertainty.value.replace(',', '.')),
      ...(where === '' ? {} : { label: where }),
    });
    if (saved) onClose();
  };
  return (
    <Sheet title={known === null ? text.setup.probes.addTitle : text.setup.probes.editTitle(known.probe)} onClose={onClose}>
      <form class="form" onSubmit={save}>
        {known === null && (
          <>
            <TextField
              label={text.setup.probes.id}
              hint={text.setup.probes.idHint}
              path="probe"
              problem={problem.value}
              value={probe}
              required
            />
            <Group label={text.setup.probes.role} path="role" problem={problem.value}>
              <div class="choice-row">
                {(['material', 'ambient'] as const).map((each) => (
                  <label key={each}>
                    <input
                      type="radio"
                      name={name}
                      checked={role.value === each}
                      onChange={() => {
                        role.value = each;
                      }}
                    />
                    <span>{text.role[each]}</span>
                  </label>
                ))}
              </div>
            </Group>
          </>
        )}
        <TextField
          label={text.setup.probes.label}
          hint={text.setup.probes.labelHint}
          path="label"
          problem={problem.value}
          value={label}
        />
        <TextField
          label={text.setup.probes.uncertainty}
          hint={text.setup.probes.uncertaintyHint}
          path="uncertaintyCelsius"
          problem={problem.value}
          value={uncertainty}
          inputMode="decimal"
          required
        />
        <ProblemNote problem={problem.value} fields={['probe', 'role', 'label', 'uncertaintyCelsius']} />
        <SheetActions confirm={known === null ? text.setup.probes.save : text.action.save} busy={busy.value} onCancel={onClose} />
      </form>
    </Sheet>
  );
}
