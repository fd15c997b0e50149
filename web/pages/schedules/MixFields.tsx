import type { Problem } from '../../api/call.ts';
import { Choice } from '../../parts/Choice.tsx';
import { setupText } from '../../text/setupText.ts';
import { Entry, FaultsOf, Lines, Rows } from './fields.tsx';
import { inDoseUnit, type MixDraft } from './mixDraft.ts';
import { signOf, type Unit } from './numbers.ts';

interface Props {
  mix: MixDraft;
  typedIn: Unit;
  onChange: (mix: MixDraft) => void;
  /** Where the rules stand in the statement. */
  path: string;
  problem: Problem | null;
}

const words = setupText.schedules.mix;
const BLANK = { temperature: '', amount: '' };

/** How much catalyst goes into how much resin, and for how long the mix can be worked. */
export function MixFields({ mix, typedIn, onChange, path, problem }: Props) {
  const put = (change: Partial<MixDraft>) => onChange({ ...mix, ...change });
  const number = (key: 'min' | 'preferredMin' | 'preferredMax' | 'max', label: string) => (
    <Entry
      label={label}
      path={`${path}.bandPercent.${key}`}
      problem={problem}
      value={mix[key]}
      unit="%"
      onInput={(value) => put({ [key]: value })}
    />
  );
  const density = (key: 'resinKgPerLitre' | 'catalystKgPerLitre', label: string) => (
    <Entry
      label={label}
      path={`${path}.${key}`}
      problem={problem}
      value={mix[key]}
      unit="kg/L"
      onInput={(value) => put({ [key]: value })}
    />
  );
  const temperature = { key: 'temperature', label: words.temperature, field: 'celsius', unit: signOf(typedIn) } as const;
  const times = (key: 'working' | 'tack', label: string) => (
    <Rows
      label={label}
      path={`${path}.${key}`}
      problem={problem}
      columns={[temperature, { key: 'amount', label: words.minutes, field: 'minutes', unit: 'min' }]}
      rows={mix[key]}
      blank={BLANK}
      add={words.addRow}
      onChange={(rows) => put({ [key]: rows })}
    />
  );
  return (
    <>
      <fieldset class="field">
        <legend>{words.band}</legend>
        <div class="field-row is-four">
          {number('min', words.min)}
          {number('preferredMin', words.preferredMin)}
          {number('preferredMax', words.preferredMax)}
          {number('max', words.max)}
        </div>
        <div class="hint">
          <FaultsOf problem={problem} path={`${path}.bandPercent`} />
        </div>
      </fieldset>
      <Choice
        label={words.doseUnit}
        names={words.doseUnitName}
        value={mix.doseUnit}
        onChoose={(doseUnit) => onChange(inDoseUnit(mix, doseUnit))}
      />
      <Rows
        label={words.doses}
        path={`${path}.doses`}
        problem={problem}
        columns={[temperature, { key: 'amount', label: words.doseMillilitres, field: 'millilitresPerLitre', unit: 'mL' }]}
        rows={mix.doses}
        blank={BLANK}
        add={words.addRow}
        onChange={(doses) => put({ doses })}
      />
      {times('working', words.working)}
      {times('tack', words.tack)}
      <fieldset class="field">
        <legend>{words.densities}</legend>
        <div class="field-row">
          {density('resinKgPerLitre', words.resin)}
          {density('catalystKgPerLitre', words.catalyst)}
        </div>
      </fieldset>
      <Lines
        label={words.source}
        path={`${path}.source`}
        problem={problem}
        value={mix.source}
        onInput={(source) => put({ source })}
      />
    </>
  );
}
