import type { JointView } from '../../edge/site/views/joint.ts';
import type { JointFacts } from '../answer/joint.ts';
import { isMixOpen, type MixTime, mixTimesOf, workingOf } from '../answer/mixTimes.ts';
import { now } from '../live/clock.ts';
import { recording } from '../live/store.ts';
import { expectedMoment, moment, roughSpan } from '../look/format.ts';
import { mixText } from '../text/mixText.ts';
import { text } from '../text/text.ts';
import { Icon } from './Icon.tsx';
import { WorkingTime } from './WorkingTime.tsx';
import '../style/mixTimes.css';

/** What counts from the mix: how long it can be worked, when it is surely tacky and surely gelled. On a card only while it matters. */
export function MixTimes({ view, facts, inFull = false }: { view: JointView; facts: JointFacts; inFull?: boolean }) {
  const times = inFull || isMixOpen(view) ? mixTimesOf(view, facts, recording.value) : [];
  const working = view.mix === null ? null : workingOf(view, now.value);
  if (times.length === 0 && working === null) return null;
  return (
    <div class={`mix-times ${facts.lost ? 'is-past' : ''}`}>
      <p class="question">{mixText.fromMix.title}</p>
      {working !== null && <WorkingTime working={working} />}
      {times.length > 0 && (
        <dl>
          {times.map(({ stage, time }) => (
            <div key={stage} class={`mix-time is-${time.kind}`}>
              <dt>{nameOf(stage)}</dt>
              <dd>
                <Told time={time} />
              </dd>
            </div>
          ))}
        </dl>
      )}
      {inFull && isMixOpen(view) && <p class="soft">{mixText.fromMix.caution}</p>}
    </div>
  );
}

function nameOf(stage: string): string {
  const { tack, gel, other } = mixText.fromMix;
  if (stage === 'tack') return tack;
  return stage === 'gel' ? gel : other(text.stage[stage] ?? stage);
}

function Told({ time }: { time: MixTime }) {
  switch (time.kind) {
    case 'reached':
      return (
        <>
          <Icon name="check" />
          {mixText.fromMix.since(moment(time.atMs, now.value))}
        </>
      );
    case 'held':
      return (
        <>
          <b class="countdown">{mixText.fromMix.by(expectedMoment(time.atMs, now.value))}</b>{' '}
          <span class="soft">{mixText.fromMix.in(roughSpan(time.atMs - now.value))}</span>
        </>
      );
    case 'none':
      return <span class="soft">{mixText.fromMix.noTime}</span>;
    case 'lost':
      return <span class="soft">{mixText.fromMix.lost}</span>;
  }
}
