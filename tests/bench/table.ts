/** One measured line of the bench. */
export interface Row {
  readonly what: string;
  readonly figure: string;
  /** What we aim for, and whether this run met it. */
  readonly goal?: { readonly text: string; readonly met: boolean };
}

export function print({ what, figure, goal }: Row): void {
  const verdict = goal === undefined ? '' : `   goal ${goal.text}: ${goal.met ? 'met' : 'MISSED'}`;
  console.log(`${what.padEnd(62)} ${figure.padStart(22)}${verdict}`);
}

/** The value below which `share` of `sorted` lies. */
export function quantile(sorted: readonly number[], share: number): number {
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN;
}

export function median(values: readonly number[]): number {
  return quantile(
    [...values].sort((a, b) => a - b),
    0.5,
  );
}
