import type { JointView } from '../../edge/site/views/joint.ts';
import { factsNow } from '../live/facts.ts';
import { temperature } from '../look/format.ts';
import { workText } from '../text/workText.ts';
import { Icon } from './Icon.tsx';
import { guardOf, thresholdsOf } from './thresholds.ts';

/** Says before the work that a joint is too cold to cure. Nothing while it is not, or no reading is of now. */
export function ColdNote({ view }: { view: JointView }) {
  const { reading } = factsNow(view);
  if (reading === null || reading.old) return null;
  if (reading.celsius - (guardOf(view) ?? 0) >= view.scheduleDetail.floorCelsius) return null;
  return (
    <p class="why is-void" role="status">
      <Icon name="stop" />
      <span>{workText.tooCold(temperature(reading.celsius), thresholdsOf(view).floor)}</span>
    </p>
  );
}
