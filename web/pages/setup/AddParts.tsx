import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { SumpView } from '../../../edge/site/views/sump.ts';
import type { StatementSent } from '../../api/shapes.ts';
import { joints, probes } from '../../live/store.ts';
import { slugOf } from '../../look/slug.ts';
import { ProblemNote, useRecord } from '../../parts/form.tsx';
import { Sheet, SheetActions } from '../../parts/Sheet.tsx';
import { jointText } from '../../text/jointText.ts';
import { setupText } from '../../text/setupText.ts';
import { text } from '../../text/text.ts';
import { Entry, Pick, Tick } from '../schedules/fields.tsx';
import { loadKnown, schedules } from '../schedules/known.ts';
import { SealantNote } from './NewJoint.tsx';

const words = setupText.setup.sumps;

interface PartDraft {
  readonly part: string;
  readonly wanted: boolean;
  readonly label: string;
  readonly schedule: string;
  readonly probes: readonly string[];
}

/** The joints that the order of work asks for and the sump does not have yet, added one after the other. */
export function AddParts({ sump, onClose }: { sump: SumpView; onClose: () => void }) {
  const drafts = useSignal<readonly PartDraft[]>(
    sump.parts
      .filter(({ joint }) => joint === null)
      .map(({ part, label, schedule }) => ({ part, wanted: true, label, schedule, probes: [] })),
  );
  const ambient = useSignal('');
  const added = useSignal(0);
  const { busy, problem, record } = useRecord();
  useEffect(() => {
    void loadKnown();
  }, []);
  const all = [...probes.value.values()].map((probe) => probe.value);
  const air = all.filter(({ role }) => role === 'ambient');
  const wanted = drafts.value.filter((draft) => draft.wanted);
  const put = (part: string, change: Partial<PartDraft>) => {
    drafts.value = drafts.value.map((draft) => (draft.part === part ? { ...draft, ...change } : draft));
  };
  const needsAir = wanted.some(({ schedule }) => schedules.value?.find(({ name }) => name === schedule)?.law.kind === 'moisture');

  const save = async (event: Event) => {
    event.preventDefault();
    const taken = new Set(joints.value.keys());
    for (const { part, label, schedule, probes } of wanted) {
      const joint = slugOf(label, taken, part);
      const statement: StatementSent = {
        kind: 'joint.added',
        joint,
        sump: sump.sump,
        label,
        schedule,
        part,
        probes: [...probes],
        ...(ambient.value === '' ? {} : { ambient: ambient.value }),
      };
      // What is added leaves the list: whoever puts the next one right sends only what is left.
      if ((await record(statement)) === null) return;
      taken.add(joint);
      added.value++;
      drafts.value = drafts.value.filter((draft) => draft.part !== part);
    }
    onClose();
  };
  return (
    <Sheet title={words.partsTitle(sump.label)} onClose={onClose}>
      <form class="form" onSubmit={save}>
        <p class="soft">{words.partsLead}</p>
        {drafts.value.map((draft) => (
          <PartFields
            key={draft.part}
            draft={draft}
            put={(change) => put(draft.part, change)}
            isFirst={draft === wanted[0]}
            problem={problem.value}
          />
        ))}
        <Pick
          label={words.partAmbient}
          path="ambient"
          problem={problem.value}
          options={[['', jointText.ambientNone], ...air.map(({ probe, label }): [string, string] => [probe, label])]}
          value={ambient.value}
          onChange={(value) => {
            ambient.value = value;
          }}
        />
        {needsAir && <SealantNote ambient={ambient.value} />}
        {added.value > 0 && <p role="status">{words.partsAdded(added.value, added.value + wanted.length)}</p>}
        <ProblemNote problem={problem.value} fields={['label', 'schedule', 'probes', 'ambient']} />
        <SheetActions
          confirm={words.partsCreate(wanted.length)}
          busy={busy.value}
          disabled={wanted.length === 0}
          onCancel={onClose}
        />
      </form>
    </Sheet>
  );
}

interface PartProps {
  draft: PartDraft;
  put: (change: Partial<PartDraft>) => void;
  /** What the server refused was the first that is left. */
  isFirst: boolean;
  problem: Parameters<typeof ProblemNote>[0]['problem'];
}

function PartFields({ draft, put, isFirst, problem }: PartProps) {
  const { wanted, label, schedule, probes: chosen } = draft;
  const shown = isFirst ? problem : null;
  const material = [...probes.value.values()].map((probe) => probe.value).filter(({ role }) => role === 'material');
  const toggle = (probe: string, on: boolean) =>
    put({ probes: on ? [...chosen, probe] : chosen.filter((each) => each !== probe) });
  return (
    <section class="part-draft">
      <Tick label={label} checked={wanted} onChange={(on) => put({ wanted: on })} />
      {wanted && (
        <div class="field-group">
          <Entry
            label={words.partName}
            path="label"
            problem={shown}
            value={label}
            onInput={(value) => put({ label: value })}
            required
          />
          <Pick
            label={words.partSchedule}
            path="schedule"
            problem={shown}
            options={(schedules.value ?? []).map((each): [string, string] => [each.name, each.title])}
            value={schedule}
            onChange={(value) => put({ schedule: value })}
          />
          <fieldset class="field">
            <legend>{words.partProbes}</legend>
            {material.length === 0 ? (
              <p class="soft">{words.partNoProbes}</p>
            ) : (
              material.map((probe) => (
                <Tick
                  key={probe.probe}
                  label={probe.label === probe.probe ? probe.probe : text.probeName(probe.label, probe.probe)}
                  checked={chosen.includes(probe.probe)}
                  onChange={(on) => toggle(probe.probe, on)}
                />
              ))
            )}
          </fieldset>
        </div>
      )}
    </section>
  );
}
