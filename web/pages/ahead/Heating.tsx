import type { JointView } from '../../../edge/site/views/joint.ts';
import { heatingStatement } from '../../answer/heating.ts';
import { now, serverNowMs } from '../../live/clock.ts';
import { mayWrite } from '../../live/session.ts';
import { jointInSump, sumpName } from '../../live/store.ts';
import { offerUndo } from '../../live/undo.ts';
import { moment, temperature } from '../../look/format.ts';
import { Icon } from '../../parts/Icon.tsx';
import { OneTap } from '../../parts/OneTap.tsx';
import { aheadText } from '../../text/aheadText.ts';
import '../../style/ahead.css';

/** What keeps a joint warm, as somebody said, with one tap to say that it no longer does. */
export function Heating({ view, isLost }: { view: JointView; isLost: boolean }) {
  const { heating } = view;
  if (heating === null) return null;
  const { what, since, by, holdCelsius, sump } = heating;
  const words = aheadText.heat;
  const where = sump ? sumpName(view.sump) : jointInSump(view.joint);
  const said = [
    words.since(words.what[what], moment(Date.parse(since), now.value), by),
    ...(holdCelsius === null ? [] : [words.set(temperature(holdCelsius))]),
    ...(sump ? [words.ofSump(where)] : []),
  ];
  const scope = sump ? { sump: view.sump } : { joint: view.joint };
  return (
    <div class="heating">
      <p>
        <Icon name={what} />
        {said.join(', ')}
      </p>
      {mayWrite() && !isLost && (
        <OneTap
          label={words.offShort}
          name={sump ? words.offSump[what] : words.offNow[what]}
          statement={() => heatingStatement(scope, { what, on: false, atMs: serverNowMs(), holdCelsius: null })}
          onRecorded={(seq) => offerUndo(sump ? null : view.joint, seq, words.recordedOff(words.what[what], where))}
        />
      )}
    </div>
  );
}
