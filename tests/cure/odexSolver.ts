import { createRequire } from 'node:module';

/** The part of the `odex` package that is used here. Its own types are sources that do not pass this project's compiler settings. */
interface Solver {
  absoluteTolerance: number;
  relativeTolerance: number;
  maxStepSize: number;
  solve(slope: (x: number, y: number[]) => number[], from: number, start: number[], to: number): { y: number[]; outcome: number };
}

const { Solver } = createRequire(import.meta.url)('odex') as { Solver: new (equations: number) => Solver };

/**
 * Integral of `rate` over `[0, until]` by an extrapolation method for differential equations (Hairer & Wanner), which shares no
 * line and no idea with the fold. `rate` may have kinks at whole numbers, so it is integrated from one to the next.
 */
export function integral(rate: (x: number) => number, until: number): number {
  let sum = 0;
  for (let from = 0; from < until; from++) {
    const solver = new Solver(1);
    solver.absoluteTolerance = 1e-9;
    solver.relativeTolerance = 1e-9;
    solver.maxStepSize = 0.05;
    const { y, outcome } = solver.solve((x) => [rate(x)], from, [0], from + 1);
    if (outcome !== 0) throw new Error(`the solver did not converge between ${from} and ${from + 1}`);
    sum += y[0] as number;
  }
  return sum;
}
