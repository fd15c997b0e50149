import { useSignal } from '@preact/signals';
import { useMemo } from 'preact/hooks';
import type { Schedule } from '../../../edge/cure/schedule.ts';
import { setupText } from '../../text/setupText.ts';
import { Entry } from './fields.tsx';
import { HoursTable } from './HoursTable.tsx';
import { numberOf } from './numbers.ts';
import { compiled } from './preview.ts';
import { type Curve, RateChart } from './RateChart.tsx';

const words = setupText.schedules;

/** The humidity that the trade's sheets speak of. */
const USUAL_HUMIDITY_PERCENT = 50;

/** What a changed schedule comes to, beside the one it was copied from. Null: it cannot be drawn as it is typed now. */
export function Preview({ schedule, copied }: { schedule: Schedule | null; copied: Schedule }) {
  const humidity = useSignal('80');
  const drawn = useMemo(() => (schedule === null ? null : compiled(schedule)), [schedule]);
  const beside = useMemo(() => compiled(copied), [copied]);
  const isMoist = schedule?.law.kind === 'moisture';
  const typed = numberOf(humidity.value);
  const humidities = typed > 0 && typed <= 100 ? [USUAL_HUMIDITY_PERCENT, typed] : [USUAL_HUMIDITY_PERCENT];
  const asked = humidities.at(-1) ?? USUAL_HUMIDITY_PERCENT;
  const curves = useMemo(() => {
    const drawnAt = new Set(isMoist ? [USUAL_HUMIDITY_PERCENT, asked] : [USUAL_HUMIDITY_PERCENT]);
    const changed = (drawn === null ? [] : [...drawnAt]).map(
      (humidityPercent): Curve => ({
        title: isMoist ? words.rate.atHumidity(words.rate.changed, String(humidityPercent)) : words.rate.changed,
        compiled: drawn ?? beside,
        humidityPercent,
        as: humidityPercent === USUAL_HUMIDITY_PERCENT ? 'changed' : 'elsewhere',
      }),
    );
    const before = { title: words.rate.copied(copied.title), compiled: beside, humidityPercent: USUAL_HUMIDITY_PERCENT };
    return [...changed, { ...before, as: 'copied' as const }];
  }, [drawn, beside, copied, isMoist, asked]);
  return (
    <>
      <RateChart curves={curves} />
      {isMoist && (
        <Entry
          label={words.rate.humidity}
          path=""
          problem={null}
          value={humidity.value}
          unit="%"
          onInput={(value) => {
            humidity.value = value;
          }}
        />
      )}
      {drawn !== null && <HoursTable compiled={drawn} humidities={humidities} />}
    </>
  );
}
