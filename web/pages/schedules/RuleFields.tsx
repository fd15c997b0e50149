import { setupText } from '../../text/setupText.ts';
import { Entry, Pick, Rows, Tick } from './fields.tsx';
import type { DraftFields } from './LawFields.tsx';
import { MixFields } from './MixFields.tsx';
import { emptyMixDraft } from './mixDraft.ts';
import { gridCelsiusOf, signOf, type Unit } from './numbers.ts';
import { stageName } from './scheduleWords.ts';

const words = setupText.schedules.editor;
const BLANK_STAGE = { stage: '', amount: '' };

/** Reference, floor and how long a silence may last. */
export function LimitFields({ draft, typedIn, put, problem }: DraftFields) {
  return (
    <>
      <div class="field-row">
        <Entry
          label={words.reference}
          hint={kept(draft.reference, typedIn)}
          path="definition.referenceCelsius"
          problem={problem}
          value={draft.reference}
          unit={signOf(typedIn)}
          onInput={(reference) => put({ reference })}
        />
        <Entry
          label={words.floor}
          hint={kept(draft.floor, typedIn)}
          path="definition.floorCelsius"
          problem={problem}
          value={draft.floor}
          unit={signOf(typedIn)}
          onInput={(floor) => put({ floor })}
        />
      </div>
      <Entry
        label={words.gapLimit}
        path="definition.gapLimitMinutes"
        problem={problem}
        value={draft.gapLimit}
        unit="min"
        onInput={(gapLimit) => put({ gapLimit })}
      />
      {draft.law !== 'moisture' && (
        <Tick
          label={words.ambientStandIn}
          hint={words.ambientStandInHint}
          checked={draft.ambientStandIn}
          onChange={(ambientStandIn) => put({ ambientStandIn })}
        />
      )}
    </>
  );
}

/** Limits are kept in tenths of a degree Celsius; whoever types °F sees which one it becomes. */
function kept(written: string, typedIn: Unit): string | undefined {
  const celsius = gridCelsiusOf(written, typedIn);
  return typedIn === 'C' || !Number.isFinite(celsius) ? undefined : words.keptAs(String(celsius));
}

/** The stages with their hours, and those that count from the mix. */
export function StageFields({ draft, typedIn, put, problem }: DraftFields) {
  const { fromMix } = draft;
  const stage = { key: 'stage', label: words.stage, field: 'stage' } as const;
  const named = draft.stages.map((each) => each.stage.trim()).filter((each) => each !== '');
  return (
    <>
      <Rows
        label={words.stages}
        hint={words.stageHint}
        path="definition.stages"
        problem={problem}
        columns={[
          { ...stage, suggestions: ['stress', 'hydro'] },
          { key: 'amount', label: words.stageHours, field: 'requiredHours', unit: 'h' },
        ]}
        rows={draft.stages.map((each) => ({ ...each }))}
        blank={BLANK_STAGE}
        add={words.addStage}
        onChange={(stages) => put({ stages })}
      />
      {draft.law === 'moisture' ? (
        <Pick
          label={words.throughBead}
          path="definition.throughBead"
          problem={problem}
          options={[['', words.none], ...named.map((each): [string, string] => [each, stageName(each)])]}
          value={draft.throughBead}
          onChange={(throughBead) => put({ throughBead })}
        />
      ) : (
        <>
          <Tick
            label={words.fromMix}
            checked={fromMix !== null}
            onChange={(wanted) =>
              put({ fromMix: wanted ? { reference: draft.reference, stages: [{ stage: 'gel', amount: '30' }] } : null })
            }
          />
          {fromMix !== null && (
            <div class="field-group">
              <Entry
                label={words.fromMixReference}
                hint={kept(fromMix.reference, typedIn)}
                path="definition.fromMix.referenceCelsius"
                problem={problem}
                value={fromMix.reference}
                unit={signOf(typedIn)}
                onInput={(reference) => put({ fromMix: { ...fromMix, reference } })}
              />
              <Rows
                label={words.stagesTitle}
                path="definition.fromMix.stages"
                problem={problem}
                columns={[
                  { ...stage, suggestions: ['tack', 'gel'] },
                  { key: 'amount', label: words.stageMinutes, field: 'requiredHours', unit: 'min' },
                ]}
                rows={fromMix.stages.map((each) => ({ ...each }))}
                blank={BLANK_STAGE}
                add={words.addStage}
                onChange={(stages) => put({ fromMix: { ...fromMix, stages } })}
              />
            </div>
          )}
        </>
      )}
    </>
  );
}

/** What raises a finding: material out of its range, long cold, too hot. */
export function CheckFields({ draft, typedIn, put, problem }: DraftFields) {
  const { use, proofBelow } = draft;
  const sign = signOf(typedIn);
  return (
    <>
      <Tick label={words.use} checked={use !== null} onChange={(wanted) => put({ use: wanted ? { min: '', max: '' } : null })} />
      {use !== null && (
        <div class="field-row">
          <Entry
            label={words.useMin}
            path="definition.use.minCelsius"
            problem={problem}
            value={use.min}
            unit={sign}
            onInput={(min) => put({ use: { ...use, min } })}
          />
          <Entry
            label={words.useMax}
            path="definition.use.maxCelsius"
            problem={problem}
            value={use.max}
            unit={sign}
            onInput={(max) => put({ use: { ...use, max } })}
          />
        </div>
      )}
      <Tick
        label={words.proof}
        hint={words.proofHint}
        checked={proofBelow !== null}
        onChange={(wanted) => put({ proofBelow: wanted ? { temperature: draft.reference, hours: '6' } : null })}
      />
      {proofBelow !== null && (
        <div class="field-row">
          <Entry
            label={words.proofHours}
            path="definition.proofBelow.hours"
            problem={problem}
            value={proofBelow.hours}
            unit="h"
            onInput={(hours) => put({ proofBelow: { ...proofBelow, hours } })}
          />
          <Entry
            label={words.proofTemperature}
            path="definition.proofBelow.celsius"
            problem={problem}
            value={proofBelow.temperature}
            unit={sign}
            onInput={(temperature) => put({ proofBelow: { ...proofBelow, temperature } })}
          />
        </div>
      )}
      <Entry
        label={words.hotAbove}
        path="definition.hotAboveCelsius"
        problem={problem}
        value={draft.hotAbove}
        unit={sign}
        onInput={(hotAbove) => put({ hotAbove })}
      />
    </>
  );
}

/** Whether it is mixed by hand, and how. */
export function MixPart({ draft, typedIn, put, problem }: DraftFields) {
  const { mix } = draft;
  return (
    <>
      <Tick
        label={words.mix}
        checked={mix !== null}
        onChange={(wanted) => put({ mix: wanted ? emptyMixDraft(typedIn) : null })}
      />
      {mix !== null && (
        <div class="field-group">
          <MixFields
            mix={mix}
            typedIn={typedIn}
            path="definition.mix"
            problem={problem}
            onChange={(next) => put({ mix: next })}
          />
        </div>
      )}
    </>
  );
}
