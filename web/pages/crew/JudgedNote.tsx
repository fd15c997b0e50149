import type { WaterTestView } from '../../../edge/site/views/waterTest.ts';
import { Icon } from '../../parts/Icon.tsx';
import { workText } from '../../text/workText.ts';
import { millimetresWords } from './lengths.ts';

/** A change of the level that no stick shows. */
const UNSEEN_MM = 0.05;

interface Props {
  judged: Omit<NonNullable<WaterTestView['byHand']>, 'faults' | 'uncertaintyMm'> & {
    readonly faults: readonly (keyof typeof workText.waterTest.faults)[];
    readonly uncertaintyMm: { readonly worstCase: number };
  };
  method: WaterTestView['method'];
  /** Nothing is on record yet. */
  isPreview?: boolean;
}

const looks = { pass: 'is-well', fail: 'is-void', invalid: 'is-doubt' };
const icons = { pass: 'check', fail: 'stop', invalid: 'warning' } as const;

/** A verdict with everything that must be said beside it. */
export function JudgedNote({ judged, method, isPreview = false }: Props) {
  const words = workText.waterTest;
  const { verdict, faults, changeMm, uncertaintyMm, nearLimit, temperatureMm, temperatureMatters } = judged;
  const size = millimetresWords(Math.abs(changeMm));
  const changed = changeMm < 0 ? words.changed.fell(size) : changeMm > 0 ? words.changed.rose(size) : words.changed.none;
  return (
    <div class="judged">
      <p class={`why ${looks[verdict]}`} role="status">
        <Icon name={icons[verdict]} />
        <span>
          <b class="judged-verdict">{isPreview ? words.preview[verdict] : words.verdict[verdict]}</b> {changed}.
        </span>
      </p>
      <ul class="judged-facts">
        {faults.map((fault) => (
          <li key={fault} class="fault">
            {words.faults[fault]}
          </li>
        ))}
        <li>{words.limit}</li>
        <li>
          {words.uncertainty(millimetresWords(uncertaintyMm.worstCase))} {nearLimit && <b>{words.nearLimit}</b>}
        </li>
        <li>
          {temperatureMm === null
            ? words.temperatureUnknown
            : Math.abs(temperatureMm) < UNSEEN_MM
              ? words.temperatureNone
              : words.temperature[temperatureMm < 0 ? 'fell' : 'rose'](millimetresWords(Math.abs(temperatureMm)))}{' '}
          {temperatureMatters && <b>{words.temperatureMatters}</b>}
        </li>
        {method === 'low-level' && <li>{words.lowLevel}</li>}
      </ul>
    </div>
  );
}
