/** A laminate as it comes off the roller. */
export const wet = { celsius: 18, exothermCelsius: 11, exothermPeakMinutes: 40 } as const;

/** A two-part pour out of warmed cans. */
export const poured = { celsius: 20, exothermCelsius: 9, exothermPeakMinutes: 75 } as const;

/** Catalysed for resin of 18 °C, between the trade's 15 mL at 60 °F and 10 mL at 70 °F. */
export const quarts = (value: number) =>
  ({ resin: { value, unit: 'quart' }, catalystMillilitres: 12.5 * value, resinLot: 'R-2207', catalystLot: 'K-118' }) as const;

/** A pour's measured kit has its hardener with it. */
export const kit = { resinLot: 'E-0930' } as const;
