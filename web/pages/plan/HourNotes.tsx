import { doseOf, type MixRules } from '../../../edge/cure/mix.ts';
import type { LayUpPlan } from '../../../edge/cure/outlook/layUp.ts';
import type { SumpOutlook } from '../../api/shapes.ts';
import { now } from '../../live/clock.ts';
import { difference, hoursToGo, limit, moment, temperature } from '../../look/format.ts';
import { unit } from '../../look/settings.ts';
import { Icon } from '../../parts/Icon.tsx';
import { planText } from '../../text/planText.ts';
import { DoseNote } from '../crew/Dose.tsx';
import { hourAhead, type Stored, WARM_ROOM_CELSIUS } from './hourAhead.ts';
import '../../style/work.css';

const words = planText.layUp;

interface Props {
  input: LayUpPlan['input'];
  past: SumpOutlook['past'];
  use: SumpOutlook['plans'][number]['use'];
  mix: MixRules | null;
  atMs: number;
  materialCelsius: number | null;
}

/** What that hour will be like: its air, the material as it lies in the truck, the dose. */
export function HourNotes({ input, past, use, mix, atMs, materialCelsius }: Props) {
  const hour = hourAhead(input, past, use, atMs);
  const resin = { value: 1, unit: unit.value === 'F' ? 'quart' : 'L' } as const;
  const airCelsius = Math.round(hour.airCelsius * 10) / 10;
  const dose =
    mix === null || materialCelsius === null ? null : doseOf(mix, { amount: resin, resinCelsius: materialCelsius, airCelsius });
  return (
    <div class="hour-notes">
      <h3>{words.hourTitle(moment(atMs, now.value))}</h3>
      <dl class="facts">
        <div>
          <dt>{words.air}</dt>
          <dd>{words.airAbout(temperature(hour.airCelsius), difference(hour.airErrorCelsius))}</dd>
        </div>
        <div>
          <dt>{words.truck}</dt>
          <dd>{words.truckAbout(temperature(hour.storedCelsius))}</dd>
        </div>
      </dl>
      <StoredNote stored={hour.stored} use={use} />
      {mix === null ? (
        <p>{words.kit}</p>
      ) : (
        dose !== null && (
          <>
            <h4>{words.dose[resin.unit]}</h4>
            <DoseNote dose={dose} rules={mix} />
            <p class="soft">{words.doseRests}</p>
          </>
        )
      )}
    </div>
  );
}

function StoredNote({ stored, use }: { stored: Stored; use: Props['use'] }) {
  if (stored.kind === 'noUse' || use === null) return <p class="soft">{words.noUse}</p>;
  if (stored.kind === 'within')
    return (
      <p class="why is-well">
        <Icon name="check" />
        <span>{words.within}</span>
      </p>
    );
  const room = temperature(WARM_ROOM_CELSIUS);
  const isBelow = stored.side === 'below';
  return (
    <p class={`why ${isBelow ? 'is-cold' : 'is-doubt'}`}>
      <Icon name={isBelow ? 'cold' : 'warning'} />
      <span>
        {isBelow ? words.below(limit(use.minCelsius)) : words.above(limit(use.maxCelsius))}{' '}
        {stored.hours === null ? words.noWarmRoom(room) : words.warmRoom(room, hoursToGo(stored.hours))}
      </span>
    </p>
  );
}
