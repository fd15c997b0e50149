import type { JointView } from '../../edge/site/views/joint.ts';
import type { Times } from '../../edge/site/views/outlook.ts';
import { type Ahead, aheadOf } from '../answer/outlook.ts';
import { now } from '../live/clock.ts';
import { clockTime, isSameDay, moment } from '../look/format.ts';
import { text } from '../text/text.ts';

interface Props {
  times: Times;
  /** What of the air it rests on; left out where it is said elsewhere. */
  air?: NonNullable<JointView['projected']>['air'] | null;
  /** The link is down: it was so when somebody last answered. */
  isPast?: boolean;
  /** A heater is on: what is told holds only while it runs. */
  isHeated?: boolean;
}

/** `Likely Thu 05:40, between 03:10 and 09:00, by the forecast`; never a bare single time. */
export function Likely({ times, air = null, isPast = false, isHeated = false }: Props) {
  const words = text.now.ahead;
  const ahead = aheadOf(times, now.value);
  return (
    <span class={isPast ? 'likely is-past' : 'likely'}>
      {isPast && `${words.was} `}
      {ahead.kind === 'window' && (
        <>
          {words.likely} <b>{likelyAt(ahead, now.value)}</b>
        </>
      )}
      {restOf(ahead, now.value)}
      {isHeated && ahead.kind !== 'none' && `, ${words.heated}`}
      {air !== null && ahead.kind !== 'none' && `, ${words.air[air]}`}
    </span>
  );
}

/** The same in one sentence, without emphasis. */
export function likelyWords(times: Times, nowMs: number): string {
  const ahead = aheadOf(times, nowMs);
  const likely = ahead.kind === 'window' ? `${text.now.ahead.likely} ${likelyAt(ahead, nowMs)}` : '';
  return `${likely}${restOf(ahead, nowMs)}`;
}

/** Without any width it is no exact time for that. */
function likelyAt({ earliestMs, likelyMs, latestMs }: Extract<Ahead, { kind: 'window' }>, nowMs: number): string {
  const at = moment(likelyMs, nowMs);
  return earliestMs === latestMs ? text.now.ahead.about(at) : at;
}

/** What follows the likely time, or stands for it. */
function restOf(ahead: Ahead, nowMs: number): string {
  const words = text.now.ahead;
  if (ahead.kind === 'none') return words.none[ahead.reason];
  if (ahead.kind === 'notBefore') return words.notBefore(moment(ahead.earliestMs, nowMs));
  const { earliestMs, likelyMs, latestMs } = ahead;
  if (earliestMs === latestMs) return '';
  // On one day the likely time has named it.
  const isOneDay = isSameDay(earliestMs, latestMs ?? likelyMs);
  const at = (ms: number) => (isOneDay ? clockTime(ms) : moment(ms, nowMs));
  return `, ${latestMs === null ? words.openEnd(at(earliestMs)) : words.between(at(earliestMs), at(latestMs))}`;
}
