/** Resin and catalyst: how much of one goes into the other, and how a mix stands against what the resin allows. */
export { Amount, millilitresOf } from './mix/amount.ts';
export {
  type Dose,
  doseOf,
  type Judged,
  MixQuestion,
  type Referral,
  type Standing,
  standingOf,
  type TimeEstimate,
  timeAt,
} from './mix/dose.ts';
export { builtInPolyesterMix, MixRules } from './mix/rules.ts';
export { celsiusOf, MixCelsius, maybeFahrenheit } from './mix/temperature.ts';
