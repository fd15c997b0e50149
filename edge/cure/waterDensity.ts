/** Fits of Tanaka et al., Metrologia 38:301–309 (2001), recommended by the CIPM for air-free water at 101 325 Pa. */
const DENSEST_CELSIUS = 3.983035;
const A2_CELSIUS = 301.797;
const A3_CELSIUS_SQUARED = 522528.9;
const A4_CELSIUS = 69.34881;
const DENSEST_KG_PER_M3 = 999.97495;

const COLDEST_CELSIUS = 0;
const WARMEST_CELSIUS = 40;

/**
 * Density of clean water at `celsius`, kg/m³, between 0 and 40 °C:
 * `999.97495·[1 − (t − 3.983035)²·(t + 301.797)/(522528.9·(t + 69.34881))]` (Tanaka et al., Metrologia 38:301–309, 2001).
 * NaN outside that range.
 */
export function waterKgPerM3(celsius: number): number {
  if (!(celsius >= COLDEST_CELSIUS && celsius <= WARMEST_CELSIUS)) return Number.NaN;
  const fromDensest = celsius - DENSEST_CELSIUS;
  const lost = (fromDensest * fromDensest * (celsius + A2_CELSIUS)) / (A3_CELSIUS_SQUARED * (celsius + A4_CELSIUS));
  return DENSEST_KG_PER_M3 * (1 - lost);
}
