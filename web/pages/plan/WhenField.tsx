import { useSignal } from '@preact/signals';
import type { Problem } from '../../api/call.ts';
import { siteZone } from '../../live/store.ts';
import { readWall, wallOf } from '../../look/siteTime.ts';
import { Field, typed } from '../../parts/form.tsx';
import { planText } from '../../text/planText.ts';
import { stepped } from './when.ts';

interface Props {
  label: string;
  /** The field's path in the statement. */
  path: string;
  problem: Problem | null;
  atMs: number;
  nowMs: number;
  /** Why this time cannot be taken; null: it can. */
  fault: string | null;
  onChange: (atMs: number) => void;
}

const words = planText.aim;

/** A time to come, on the site's clock whatever zone the phone is set to: typed, or moved in steps by a gloved thumb. */
export function WhenField({ label, path, problem, atMs, nowMs, fault, onChange }: Props) {
  const zone = siteZone();
  const remark = useSignal<{ readonly said: string; readonly isFault: boolean } | null>(null);
  const take = (wall: string) => {
    const read = readWall(wall, zone);
    remark.value =
      read === null ? { said: words.bad, isFault: true } : read.isTwice ? { said: words.twice, isFault: false } : null;
    if (read !== null) onChange(read.atMs);
  };
  const wrong = remark.value?.isFault ? remark.value.said : fault;
  const shown =
    wrong === null
      ? problem
      : { status: 0, code: 'not-sent', title: wrong, detail: '', faults: [{ path, message: wrong }, ...(problem?.faults ?? [])] };
  return (
    <Field
      label={label}
      hint={remark.value?.isFault === false ? remark.value.said : words.clock(zone)}
      path={path}
      problem={shown}
    >
      {(attributes) => (
        <div class="when-field">
          <input
            {...attributes}
            type="datetime-local"
            required
            value={wallOf(atMs, zone)}
            onChange={(event) => take(typed(event))}
          />
          <div class="when-steps">
            {words.steps.map(({ step, shown: name, said }) => (
              <button
                type="button"
                class="button"
                key={name}
                aria-label={words.stepLabel(name, label, said)}
                onClick={() => {
                  remark.value = null;
                  onChange(stepped(atMs, step, nowMs, zone));
                }}
              >
                {name}
              </button>
            ))}
          </div>
        </div>
      )}
    </Field>
  );
}
