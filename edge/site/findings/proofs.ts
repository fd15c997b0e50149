import type { Proof } from '../state/joint.ts';

/** Share of the resin maker's minimum that the mean of the readings has to reach. ASTM D2583 readings; the share from memory. */
const SHARE_LEAST_PERCENT = 90;

/** Mean hardness against what is needed, in hundredths, so that the limit is exact. */
export function hardnessOf({ hardness }: Pick<Proof, 'hardness'>): { meanHundredths: number; neededHundredths: number } | null {
  if (hardness === null) return null;
  const sum = hardness.readings.reduce((total, reading) => total + Math.round(reading * 100), 0);
  return {
    meanHundredths: Math.floor(sum / hardness.readings.length),
    neededHundredths: Math.ceil((Math.round(hardness.makerMinimum * 100) * SHARE_LEAST_PERCENT) / 100),
  };
}

/** `pass`: hard enough and firm. A laminate with too much catalyst may pass hardness alone, so both are needed. */
export function proofVerdict(proof: Pick<Proof, 'hardness' | 'surface'>): 'pass' | 'fail' | 'incomplete' {
  const hardness = hardnessOf(proof);
  if (proof.surface === 'tacky') return 'fail';
  if (hardness !== null && hardness.meanHundredths < hardness.neededHundredths) return 'fail';
  return hardness !== null && proof.surface === 'firm' ? 'pass' : 'incomplete';
}
