import type { Problem } from '../../api/call.ts';
import { Choice } from '../../parts/Choice.tsx';
import { setupText } from '../../text/setupText.ts';
import { type Draft, tableHoursAtReference } from './draft.ts';
import { Entry, Rows } from './fields.tsx';
import { gridCelsiusOf, signOf, type Unit, written } from './numbers.ts';
import { stageName } from './scheduleWords.ts';

export interface DraftFields {
  draft: Draft;
  /** The figures stand in this unit, whatever is chosen meanwhile. */
  typedIn: Unit;
  put: (change: Partial<Draft>) => void;
  problem: Problem | null;
}

const words = setupText.schedules.editor;
const BLANK = { temperature: '', amount: '' };

/** How the speed of the cure goes with temperature. */
export function LawFields({ draft, typedIn, put, problem }: DraftFields) {
  return (
    <>
      <Choice label={words.law} names={setupText.schedules.lawName} value={draft.law} onChoose={(law) => put({ law })} />
      <p class="hint">{words.lawHint[draft.law]}</p>
      {draft.law === 'arrhenius' && (
        <Entry
          label={words.activation}
          path="definition.law.activationKilojoulesPerMol"
          problem={problem}
          value={draft.activation}
          unit="kJ/mol"
          onInput={(activation) => put({ activation })}
        />
      )}
      {draft.law === 'q10' && (
        <Entry
          label={words.factor}
          path="definition.law.factorPer10Kelvin"
          problem={problem}
          value={draft.factor}
          unit="×"
          onInput={(factor) => put({ factor })}
        />
      )}
      {draft.law === 'table' && <TableFields draft={draft} typedIn={typedIn} put={put} problem={problem} />}
      {draft.law === 'moisture' && <MoistureFields draft={draft} put={put} problem={problem} />}
    </>
  );
}

function TableFields({ draft, typedIn, put, problem }: DraftFields) {
  const kept = draft.points.map(({ temperature }) => gridCelsiusOf(temperature, typedIn)).filter(Number.isFinite);
  const hours = tableHoursAtReference(draft, typedIn);
  const last = draft.stages.at(-1);
  const takeHours = () =>
    put({ stages: draft.stages.map((each) => (each === last ? { ...each, amount: written(hours ?? Number.NaN) } : each)) });
  return (
    <>
      <Rows
        label={words.points}
        hint={typedIn === 'F' && kept.length > 0 ? words.keptAs(kept.join(', ')) : undefined}
        path="definition.law.points"
        problem={problem}
        columns={[
          { key: 'temperature', label: words.pointTemperature, field: 'celsius', unit: signOf(typedIn) },
          { key: 'amount', label: words.pointHours, field: 'hours', unit: 'h' },
        ]}
        rows={draft.points}
        blank={BLANK}
        add={words.addPoint}
        onChange={(points) => put({ points })}
      />
      <p class="hint">{words.ratiosOnly}</p>
      {hours !== null && last !== undefined && (
        <button type="button" class="button" disabled={last.amount === written(hours)} onClick={takeHours}>
          {words.takeHours(written(hours), stageName(last.stage))}
        </button>
      )}
    </>
  );
}

function MoistureFields({ draft, put, problem }: Omit<DraftFields, 'typedIn'>) {
  return (
    <>
      <Entry
        label={words.referenceHumidity}
        path="definition.law.referenceHumidityPercent"
        problem={problem}
        value={draft.referenceHumidity}
        unit="%"
        onInput={(referenceHumidity) => put({ referenceHumidity })}
      />
      <div class="field-row">
        <Entry
          label={words.front}
          hint={words.frontHint}
          path="definition.law.frontMillimetres"
          problem={problem}
          value={draft.front}
          unit="mm"
          onInput={(front) => put({ front })}
        />
        <Entry
          label={words.frontHours}
          path="definition.law.frontHours"
          problem={problem}
          value={draft.frontHours}
          unit="h"
          onInput={(frontHours) => put({ frontHours })}
        />
      </div>
      <Entry
        label={words.bead}
        path="definition.law.beadMillimetres"
        problem={problem}
        value={draft.bead}
        unit="mm"
        onInput={(bead) => put({ bead })}
      />
    </>
  );
}
