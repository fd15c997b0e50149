import { useId } from 'preact/hooks';
import { planText } from '../../text/planText.ts';

interface Props {
  label: string;
  /** The value ready to read. */
  shown: string;
  hint?: string;
  min: number;
  max: number;
  step: number;
  value: number;
  onInput: (value: number) => void;
}

/** A number to slide, or to step by two big buttons. */
export function Slider({ label, shown, hint, min, max, step, value, onInput }: Props) {
  const id = useId();
  const move = (by: number) => onInput(Math.min(max, Math.max(min, value + by)));
  return (
    <div class="slider">
      <div class="slider-top">
        <label for={id}>{label}</label>
        {/* The slider itself says it aloud. */}
        <b class="slider-shown" aria-hidden="true">
          {shown}
        </b>
      </div>
      <div class="slider-row">
        <button
          type="button"
          class="button square"
          aria-label={planText.help.lower(label)}
          disabled={value <= min}
          onClick={() => move(-step)}
        >
          −
        </button>
        <input
          id={id}
          type="range"
          min={min}
          max={max}
          step={step}
          value={value}
          aria-valuetext={shown}
          onInput={(event) => onInput(Number(event.currentTarget.value))}
        />
        <button
          type="button"
          class="button square"
          aria-label={planText.help.higher(label)}
          disabled={value >= max}
          onClick={() => move(step)}
        >
          +
        </button>
      </div>
      {hint !== undefined && <p class="hint">{hint}</p>}
    </div>
  );
}
