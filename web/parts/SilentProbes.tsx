import type { JointView } from '../../edge/site/views/joint.ts';
import type { JointFacts } from '../answer/joint.ts';
import { now } from '../live/clock.ts';
import { probeName } from '../live/store.ts';
import { roughSpan } from '../look/format.ts';
import { text } from '../text/text.ts';
import { Icon } from './Icon.tsx';

/** The probes that nobody hears while another one counts. `named`: the joint is named too, where several stand together. */
export function SilentProbes({ view, facts, named = false }: { view: JointView; facts: JointFacts; named?: boolean }) {
  const onAir = view.probes.some(({ probe, role }) => role === 'ambient' && probe === view.governing?.probe);
  return (
    <>
      {facts.silent.map(({ probe, lastMs }) => (
        <p key={probe} class="why is-silent">
          <Icon name="silent" />
          <span>
            {named && `${view.label}: `}
            {text.now.silent(probeName(probe), lastMs === null ? null : roughSpan(now.value - lastMs), onAir)}
          </span>
        </p>
      ))}
    </>
  );
}
