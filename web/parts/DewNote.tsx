import { DEW_MARGIN_MILLI_C } from '../../edge/cure/dewPoint.ts';
import { difference, temperature } from '../look/format.ts';
import { mixText } from '../text/mixText.ts';
import { Icon } from './Icon.tsx';

const LEAST_CELSIUS = DEW_MARGIN_MILLI_C / 1000;

interface Props {
  surfaceCelsius: number;
  dewPointCelsius: number;
  /** It moves with the readings: what was signed stands as it was signed. */
  isLive?: boolean;
}

/** A surface against the dew point of the air beside it, in words. */
export function DewNote({ surfaceCelsius, dewPointCelsius, isLive = false }: Props) {
  const marginCelsius = surfaceCelsius - dewPointCelsius;
  const isEnough = Math.round(marginCelsius * 1000) >= DEW_MARGIN_MILLI_C;
  const dewPoint = temperature(dewPointCelsius);
  const words = isEnough
    ? mixText.dew.enough(difference(marginCelsius), dewPoint)
    : marginCelsius <= 0
      ? mixText.dew.below(dewPoint)
      : mixText.dew.tooLittle(difference(marginCelsius), dewPoint, difference(LEAST_CELSIUS));
  return (
    <p class={`why ${isEnough ? 'is-well' : 'is-void'}`} role="status">
      <Icon name={isEnough ? 'check' : 'stop'} />
      <span>
        {isLive && <b>{mixText.dew.now}</b>} {words}
      </span>
    </p>
  );
}
