import { useSignal } from '@preact/signals';
import { MixRules } from '../../../edge/cure/mix.ts';
import type { SiteView } from '../../../edge/site/views/site.ts';
import { lots } from '../../live/store.ts';
import { unit } from '../../look/settings.ts';
import { Choice } from '../../parts/Choice.tsx';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { IdField, useDerivedId } from '../../parts/IdField.tsx';
import { Sheet, SheetActions } from '../../parts/Sheet.tsx';
import { TextField } from '../../parts/TextField.tsx';
import { setupText } from '../../text/setupText.ts';
import { checked } from '../schedules/faults.ts';
import { Tick } from '../schedules/fields.tsx';
import { mayState } from '../schedules/known.ts';
import { MixFields } from '../schedules/MixFields.tsx';
import { emptyMixDraft, type MixDraft, mixRulesOf } from '../schedules/mixDraft.ts';
import { LotSheet } from './LotSheet.tsx';
import { TakeBackAdded } from './TakeBackAdded.tsx';

const words = setupText.setup.lots;

type Material = SiteView['lots'][number]['material'];

/** What stands on the cans. */
export function Lots() {
  const adding = useSignal(false);
  return (
    <>
      <p>{words.lead}</p>
      {lots.value.length === 0 ? (
        <p class="soft">{words.none}</p>
      ) : (
        <ul class="rows">
          {lots.value.map(({ seq, lot, material, label, hasSheet }) => (
            <li class="row" key={lot}>
              <span class="row-main">
                <span>
                  <b>{label}</b> {label !== lot && <span class="soft">{lot}</span>}
                </span>
                <span class="soft">
                  {words.materialName[material]}
                  {hasSheet && `, ${words.hasSheet}`}
                </span>
                {hasSheet && <LotSheet lot={lot} />}
              </span>
              <TakeBackAdded entry={{ seq, what: label }} />
            </li>
          ))}
        </ul>
      )}
      {mayState('lot.added') && (
        <button
          type="button"
          class="button"
          onClick={() => {
            adding.value = true;
          }}
        >
          {words.add}
        </button>
      )}
      {adding.value && (
        <NewLot
          onClose={() => {
            adding.value = false;
          }}
        />
      )}
    </>
  );
}

function NewLot({ onClose }: { onClose: () => void }) {
  const typedIn = unit.peek();
  const material = useSignal<Material>('resin');
  const label = useSignal('');
  const sheet = useSignal<MixDraft | null>(null);
  const tried = useSignal(false);
  const derived = useDerivedId(label, () => new Set(lots.value.map(({ lot }) => lot)), 'lot');
  const { busy, problem, record } = useRecord();
  // Only resin is dosed by a table.
  const draft = material.value === 'resin' ? sheet.value : null;
  const read = draft === null ? null : checked(MixRules, mixRulesOf(draft, typedIn), 'sheet');
  const shown = tried.value ? (read?.problem ?? problem.value) : problem.value;
  const save = async (event: Event) => {
    event.preventDefault();
    tried.value = true;
    if (read !== null && read.value === null) return;
    const saved = await record({
      kind: 'lot.added',
      lot: derived.id.peek(),
      material: material.value,
      label: label.value,
      ...(read === null ? {} : { sheet: read.value }),
    });
    if (saved) onClose();
  };
  return (
    <Sheet title={words.add} onClose={onClose}>
      <form class="form" onSubmit={save}>
        <Choice
          label={words.material}
          names={words.materialName}
          value={material.value}
          onChoose={(each) => {
            material.value = each;
          }}
        />
        <TextField label={words.label} hint={words.labelHint} path="label" problem={shown} value={label} required />
        <IdField derived={derived} path="lot" problem={shown} />
        {material.value === 'resin' && (
          <Tick
            label={words.ownSheet}
            checked={sheet.value !== null}
            onChange={(wanted) => {
              sheet.value = wanted ? emptyMixDraft(typedIn) : null;
            }}
          />
        )}
        {draft !== null && (
          <div class="field-group">
            <MixFields
              mix={draft}
              typedIn={typedIn}
              path="sheet"
              problem={shown}
              onChange={(next) => {
                sheet.value = next;
              }}
            />
          </div>
        )}
        <ProblemNote problem={shown} fields={['material', 'label', 'lot', 'sheet']} />
        <SheetActions confirm={words.save} busy={busy.value} onCancel={onClose} />
      </form>
    </Sheet>
  );
}
