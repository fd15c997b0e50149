import type { WarningView } from '../../../edge/site/views/warning.ts';
import { tenthsOf } from '../../answer/outlook.ts';
import { now } from '../../live/clock.ts';
import { jointInSump, probeName, sumpName, sumps } from '../../live/store.ts';
import { hoursPlain, limit, moment, roughSpan, temperature } from '../../look/format.ts';
import type { IconName } from '../../parts/Icon.tsx';
import { aheadText } from '../../text/aheadText.ts';

export interface WarningWords {
  readonly title: string;
  readonly icon: IconName;
  readonly says: string;
  /** What somebody can do about it. */
  readonly todo: string;
}

const GRAIN_MS = 5 * 60_000;
const MINUTE_MS = 60_000;
/** From here on it is more likely than not. */
const LIKELY_PERCENT = 50;

/** What a warning says. What its numbers leave out is left out of the sentence. */
export function warningWords(warning: WarningView): WarningWords {
  const { code, numbers, owner } = warning;
  const words = aheadText.warnings;
  const given = <T>(key: string, make: (value: number) => T): T | null => {
    const value = numbers[key];
    return value === undefined ? null : make(value);
  };
  const at = (ms: number) => moment(Math.round(ms / GRAIN_MS) * GRAIN_MS, now.value);
  const sentence = (...parts: readonly (string | null)[]) => parts.filter((part) => part !== null).join(' ');
  const chance = given('chancePercent', (percent) => aheadText.chance(tenthsOf(percent / 100)));
  switch (code) {
    case 'cold-ahead': {
      const floor = given('floorMilliC', (milliC) => limit(milliC / 1000));
      const when = given('atMs', (ms) => words.at(at(ms))) ?? words.soon;
      return {
        title: words.cold.title,
        icon: 'cold',
        says: sentence(
          words.cold.says(jointInSump(owner), (numbers.chancePercent ?? LIKELY_PERCENT) >= LIKELY_PERCENT, floor, when, chance),
          given('lowestMilliC', (milliC) => words.cold.lowest(temperature(milliC / 1000))),
        ),
        todo: words.cold.todo,
      };
    }
    case 'booking-at-risk': {
      const booking = sumps.value.get(warning.sump ?? owner)?.value.bookings.find(({ seq }) => seq === numbers.seq);
      const sump = sumpName(warning.sump ?? owner);
      const name = booking === undefined ? words.booking.other(sump) : words.booking.of(booking.label, sump);
      const decidedBy = booking?.decidedBy ?? null;
      return {
        title: words.booking.title,
        icon: 'projectedLate',
        says: sentence(
          words.booking.says(
            name,
            given('dueMs', (ms) => moment(ms, now.value)),
            chance,
          ),
          given('likelyMs', (ms) => words.booking.likely(at(ms))),
          decidedBy === null ? null : words.booking.decidedBy(jointInSump(decidedBy)),
        ),
        todo: words.booking.todo,
      };
    }
    case 'material-ahead': {
      const least = given('minMilliC', (milliC) => limit(milliC / 1000));
      const most = given('maxMilliC', (milliC) => limit(milliC / 1000));
      return {
        title: words.material.title,
        icon: 'warning',
        says: sentence(
          words.material.says(
            sumpName(owner),
            given('dueMs', (ms) => moment(ms, now.value)),
            given('milliC', (milliC) => temperature(milliC / 1000)),
          ),
          least === null || most === null ? null : words.material.range(least, most),
        ),
        todo: given('warmMinutes', (minutes) => words.material.todoFor(roughSpan(minutes * MINUTE_MS))) ?? words.material.todo,
      };
    }
    case 'reading-stopped':
      return {
        title: words.silent.title,
        icon: 'silent',
        says: sentence(
          words.silent.says(
            probeName(owner),
            given('lastMs', (ms) => roughSpan(now.value - ms)),
          ),
          given('gapLimitMs', (ms) => words.silent.limit(hoursPlain(ms / MINUTE_MS))),
        ),
        todo: words.silent.todo,
      };
  }
}

/** What a warning is about, for what is said of it afterwards. */
export function whereOf({ code, owner }: WarningView): string {
  if (code === 'cold-ahead') return jointInSump(owner);
  return code === 'reading-stopped' ? probeName(owner) : sumpName(owner);
}
