import type { JointView } from '../../edge/site/views/joint.ts';
import type { JointFacts } from '../answer/joint.ts';
import { isMixOpen, type MixTime, mixTimesOf } from '../answer/mixTimes.ts';
import { now } from '../live/clock.ts';
import { recording } from '../live/store.ts';
import { expectedMoment, moment, span } from '../look/format.ts';
import { text } from '../text/text.ts';
import { Icon } from './Icon.tsx';

/** What counts from the mix: when the next wrap may go on and when it gels, counting down. */
export function MixTimes({ view, facts, inFull = false }: { view: JointView; facts: JointFacts; inFull?: boolean }) {
  const times = mixTimesOf(view, facts, recording.value);
  if (times.length === 0) return null;
  return (
    <div class={`mix-times ${facts.lost ? 'is-past' : ''}`}>
      <p class="question">{text.work.fromMix.title}</p>
      <dl>
        {times.map(({ stage, time }) => (
          <div key={stage} class={`mix-time is-${time.kind}`}>
            <dt>{nameOf(stage)}</dt>
            <dd>
              <Told stage={stage} time={time} />
            </dd>
          </div>
        ))}
      </dl>
      {inFull && isMixOpen(view) && <p class="soft">{text.work.fromMix.caution}</p>}
    </div>
  );
}

function nameOf(stage: string): string {
  if (stage === 'tack') return text.work.fromMix.tack;
  return stage === 'gel' ? text.work.fromMix.gel : (text.stage[stage] ?? stage);
}

function Told({ stage, time }: { stage: string; time: MixTime }) {
  switch (time.kind) {
    case 'reached':
      return (
        <>
          <Icon name="check" />
          {stage === 'tack' ? text.work.fromMix.tackDone : text.work.fromMix.gelDone}{' '}
          <span class="soft">{text.work.fromMix.since(moment(time.atMs, now.value))}</span>
        </>
      );
    case 'held':
      return (
        <>
          <b class="countdown">{text.work.fromMix.in(span(time.atMs - now.value))}</b>{' '}
          <span class="soft">{text.work.activities.held(expectedMoment(time.atMs, now.value))}</span>
        </>
      );
    case 'none':
      return <span class="soft">{text.work.fromMix.noTime}</span>;
    case 'lost':
      return <span class="soft">{text.work.fromMix.lost}</span>;
  }
}
