import type { JointView } from '../../edge/site/views/joint.ts';
import type { JointFacts } from '../answer/joint.ts';
import { probeName } from '../live/store.ts';
import { percent, temperature } from '../look/format.ts';
import { text } from '../text/text.ts';
import { Age } from './Age.tsx';

/** The temperature that counts now, whose it is, how old it is and what an hour at it earns. */
export function Reading({ view, facts }: { view: JointView; facts: JointFacts }) {
  const { reading } = facts;
  if (reading === null) {
    const named = view.probes.filter((probe) => probe.role === 'material').map(({ probe }) => text.now.probe(probeName(probe)));
    return <p class="reading is-old">{[...named, text.now.neverRead].join(' · ')}</p>;
  }
  const counts = facts.whyNot === null && !facts.done && view.creditRate !== null && view.creditRate > 0;
  return (
    <p class={`reading ${reading.old ? 'is-old' : ''}`}>
      <span class="reading-value">{temperature(reading.celsius)}</span>
      <span class="reading-source">
        <span>{text.now.probe(probeName(reading.probe))}</span>
        <Age atMs={reading.atMs} />
        {counts && <CreditRate rate={view.creditRate ?? 0} />}
      </span>
    </p>
  );
}

function CreditRate({ rate }: { rate: number }) {
  const share = percent(rate);
  return <span title={text.now.rateTitle(share)}>{rate >= 1 ? text.now.fullRate : text.now.rate(share)}</span>;
}
