import { useSignal } from '@preact/signals';
import type { Problem } from '../../api/call.ts';
import { siteZone } from '../../live/store.ts';
import { readWall, wallOf } from '../../look/siteTime.ts';
import { Field, typed } from '../../parts/form.tsx';
import { planText } from '../../text/planText.ts';

interface Props {
  label: string;
  /** The field's path in the statement. */
  path: string;
  problem: Problem | null;
  atMs: number;
  /** Before this it is not; UTC ms. */
  leastMs: number;
  onChange: (atMs: number) => void;
}

const words = planText.aim;

/** A time to come, on the site's clock whatever zone the phone is set to: typed, or moved in steps by a gloved thumb. */
export function WhenField({ label, path, problem, atMs, leastMs, onChange }: Props) {
  const zone = siteZone();
  const remark = useSignal<string | null>(null);
  const take = (wall: string) => {
    const read = readWall(wall, zone);
    remark.value = read === null ? words.bad : read.atMs < leastMs ? words.passed : read.isTwice ? words.twice : null;
    if (read !== null) onChange(read.atMs);
  };
  const move = (minutes: number) => {
    remark.value = null;
    onChange(Math.max(leastMs, atMs + minutes * 60_000));
  };
  return (
    <Field label={label} hint={remark.value ?? words.clock(zone)} path={path} problem={problem}>
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
            {words.steps.map(({ minutes, shown, said }) => (
              <button type="button" class="button" key={minutes} aria-label={`${label}: ${said}`} onClick={() => move(minutes)}>
                {shown}
              </button>
            ))}
          </div>
        </div>
      )}
    </Field>
  );
}
