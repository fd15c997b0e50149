import { type Dose, type MixRules, type Referral, standingOf, type TimeEstimate } from '../../../edge/cure/mix.ts';
import { limit } from '../../look/format.ts';
import { Icon } from '../../parts/Icon.tsx';
import { workText } from '../../text/workText.ts';

const tenth = (millilitres: number) => millilitres.toFixed(1);
const hundredth = (percent: number) => percent.toFixed(2);

/** The dose with its band and its times; outside the rules no number but whom to ask. */
export function DoseNote({ dose, rules }: { dose: Dose | Referral; rules: MixRules }) {
  const words = workText.mix;
  if (dose.kind === 'refer')
    return (
      <p class="why is-void" role="status">
        <Icon name="stop" />
        <span>{words.refer[dose.why](limit(dose.minCelsius), limit(dose.maxCelsius))}</span>
      </p>
    );
  const { bandMillilitres: band, standing } = dose;
  const { min, preferredMin, preferredMax, max } = rules.bandPercent;
  const facts: readonly (readonly [string, string])[] = [
    [words.dose, words.shares(hundredth(dose.percentByVolume), hundredth(dose.percentByMass))],
    [words.band, words.bandIs(tenth(band.min), tenth(band.max), String(min), String(max))],
    [
      words.preferred,
      words.bandIs(tenth(band.preferredMin), tenth(band.preferredMax), String(preferredMin), String(preferredMax)),
    ],
    [words.working, timeWords(dose.working)],
    [words.tack, timeWords(dose.tack)],
  ];
  const isOff = standing === 'below' || standing === 'above';
  return (
    <div class="dose" role="status">
      <p class="dose-amount">
        <b>{words.millilitres(tenth(dose.catalystMillilitres))}</b> {words.ofCatalyst}
      </p>
      <p class={`why ${isOff ? 'is-doubt' : 'is-well'}`}>
        <Icon name={isOff ? 'warning' : 'check'} />
        <span>{words.standing[standing]}</span>
      </p>
      {dose.airDiffers && (
        <p class="why is-doubt">
          <Icon name="warning" />
          <span>{words.airDiffers}</span>
        </p>
      )}
      <dl class="facts">
        {facts.map(([name, value]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
    </div>
  );
}

function timeWords(time: TimeEstimate | null): string {
  const words = workText.mix;
  if (time === null) return words.noTime;
  const minutes = String(Math.round(time.minutes));
  if (time.atLeast) return words.atLeast(minutes);
  return time.atMost ? words.atMost(minutes) : words.about(minutes);
}

interface MeasuredProps {
  rules: MixRules;
  resinMillilitres: number;
  catalystMillilitres: number;
}

/** What was really measured, against the band. */
export function MeasuredNote({ rules, resinMillilitres, catalystMillilitres }: MeasuredProps) {
  const { percentByVolume, percentByMass, standing } = standingOf(rules, resinMillilitres, catalystMillilitres);
  const isOff = standing === 'below' || standing === 'above';
  return (
    <p class={`why ${isOff ? 'is-doubt' : 'is-well'}`} role="status">
      <Icon name={isOff ? 'warning' : 'check'} />
      <span>
        {workText.mix.measuredStanding[standing]} {workText.mix.shares(hundredth(percentByVolume), hundredth(percentByMass))}.
      </span>
    </p>
  );
}
