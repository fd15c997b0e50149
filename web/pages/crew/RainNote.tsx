import { now } from '../../live/clock.ts';
import { rain, sumpName } from '../../live/store.ts';
import { moment } from '../../look/format.ts';
import { Icon } from '../../parts/Icon.tsx';
import { text } from '../../text/text.ts';

/** The rain that goes on over a sump: on itself or on the whole site. */
export const rainOn = (sump: string) => rain.value.filter((each) => each.sump === null || each.sump === sump);

export const whereOf = (sump: string | null) => (sump === null ? text.work.wholeSite : sumpName(sump));

/** One sentence per rain that goes on. */
export function RainNote({ sump }: { sump: string }) {
  return (
    <>
      {rainOn(sump).map((each) => (
        <p key={each.seq} class="why is-cold">
          <Icon name="rain" />
          <span>{text.work.rain.open(whereOf(each.sump), moment(Date.parse(each.at), now.value))}</span>
        </p>
      ))}
    </>
  );
}
