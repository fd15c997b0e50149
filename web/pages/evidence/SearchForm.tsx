import { useSignal } from '@preact/signals';
import { useId } from 'preact/hooks';
import { FINDING_CODES } from '../../../edge/site/findings/catalogue.ts';
import { SEARCHED, type Searched } from '../../api/evidence.ts';
import { claimsText } from '../../text/claimsText.ts';
import { titleText } from '../../text/titleText.ts';

const words = claimsText.search;

interface Props {
  /** What is looked for now. */
  asked: URLSearchParams;
  onAsk: (asked: URLSearchParams) => void;
}

/** What a claim may say: most often a serial number and no more. */
export function SearchForm({ asked, onAsk }: Props) {
  const typed = useSignal<Partial<Record<Searched, string>>>(Object.fromEntries(asked));
  const isMore = SEARCHED.some((name) => name !== 'q' && asked.has(name));
  const field = (name: Searched) => ({
    value: typed.value[name] ?? '',
    onValue: (value: string) => {
      typed.value = { ...typed.value, [name]: value };
    },
  });
  const send = () => {
    const said = SEARCHED.map((name): [string, string] => [name, typed.value[name]?.trim() ?? '']);
    onAsk(new URLSearchParams(said.filter(([, value]) => value !== '')));
  };
  return (
    <form
      class="panel evidence-search"
      onSubmit={(event) => {
        event.preventDefault();
        send();
      }}
    >
      <Line label={words.any} hint={words.anyHint} {...field('q')} />
      <details class="more" open={isMore}>
        <summary>{words.more}</summary>
        <div class="evidence-fields">
          <Line label={words.serial} {...field('serial')} />
          <Line label={words.sump} {...field('sump')} />
          <Line label={words.joint} {...field('joint')} />
          <Line label={words.lot} {...field('lot')} />
          <Line label={words.person} hint={words.personHint} {...field('person')} />
          <Line label={words.from} type="date" {...field('from')} />
          <Line label={words.to} type="date" {...field('to')} />
          <FindingChoice {...field('finding')} />
        </div>
      </details>
      <div class="evidence-buttons">
        <button type="submit" class="button primary">
          {words.go}
        </button>
        <button
          type="button"
          class="button"
          onClick={() => {
            typed.value = {};
            onAsk(new URLSearchParams());
          }}
        >
          {words.clear}
        </button>
      </div>
    </form>
  );
}

interface FieldProps {
  value: string;
  onValue: (value: string) => void;
}

interface LineProps extends FieldProps {
  label: string;
  hint?: string;
  type?: 'text' | 'date';
}

function Line({ label, value, onValue, hint, type = 'text' }: LineProps) {
  const id = useId();
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <input
        id={id}
        type={type}
        autocomplete="off"
        aria-describedby={hint === undefined ? undefined : `${id}-hint`}
        value={value}
        onInput={({ currentTarget }) => onValue(currentTarget.value)}
      />
      {hint !== undefined && (
        <p id={`${id}-hint`} class="hint">
          {hint}
        </p>
      )}
    </div>
  );
}

function FindingChoice({ value, onValue }: FieldProps) {
  const id = useId();
  return (
    <div class="field">
      <label for={id}>{words.finding}</label>
      <select id={id} value={value} onChange={({ currentTarget }) => onValue(currentTarget.value)}>
        <option value="">{words.noMatter}</option>
        <option value="any">{words.someFinding}</option>
        {FINDING_CODES.map((code) => (
          <option key={code} value={code}>
            {titleText.titleOf[code]}
          </option>
        ))}
      </select>
    </div>
  );
}
