/** A stage ready to be asked: its network, kernel and solver, and the quiescent state with its heat. */
import { dissipations } from '../circuit/device-figures.ts';
import type { Kernel } from '../circuit/kernel.ts';
import { flatten, type Network } from '../circuit/network.ts';
import { PlainKernel } from '../circuit/plain-kernel.ts';
import type { Sheet } from '../sheet/types.ts';
import { settleHeat, type ThermalPaths, thermalPaths } from './heat.ts';
import { type RampOutcome, ramp } from './ramp.ts';
import { junctionsOf, StaticSolver } from './static.ts';

export class NoSolution extends Error {
  readonly tried: string[];
  constructor(message: string, tried: string[]) {
    super(message);
    this.name = 'NoSolution';
    this.tried = tried;
  }
}

/** What the stage is while nothing moves. */
export interface Stage {
  sheet: Sheet;
  network: Network;
  kernel: Kernel;
  solver: StaticSolver;
  paths: ThermalPaths;
  /** Unknowns of the quiescent solution. */
  x: Float64Array;
  /** Junction temperatures, K, transistors then diodes. */
  temperatures: Float64Array;
  outcome: RampOutcome;
}

/** Solves the static equations again from `x`; by the ramp where Newton alone does not get there. */
export function resolve(solver: StaticSolver, x: Float64Array): boolean {
  const { kernel } = solver;
  if (solver.solve(x, junctionsOf(kernel, x)).converged) return true;
  return ramp(solver, x).converged;
}

export interface OpenOptions {
  /** All junctions stay at ambient. */
  isothermal?: boolean;
  /** A stage of the same structure whose values are near: Newton starts from its solution, and the ramp is spared. */
  near?: Stage | undefined;
}

/** True where two networks have the same unknowns and devices, so that a solution of one can start the other. */
export function sameStructure(a: Network, b: Network): boolean {
  const parts = (network: Network): string =>
    JSON.stringify([
      network.nodes,
      network.branches.map(({ part, kind }) => [part, kind]),
      [...network.transistors, ...network.diodes].map(({ part }) => part),
    ]);
  return parts(a) === parts(b);
}

/** Newton from the solution of a stage nearby; false where it does not get there, with `x` at zero again. */
function warmed(near: Stage, network: Network, kernel: Kernel, solver: StaticSolver, x: Float64Array): boolean {
  if (!sameStructure(near.network, network)) return false;
  kernel.setTemperatures(near.temperatures);
  x.set(near.x);
  if (solver.solve(x, junctionsOf(kernel, x)).converged) return true;
  x.fill(0);
  kernel.setTemperatures(new Float64Array(near.temperatures.length).fill(near.sheet.ambient));
  return false;
}

/**
 * Opens a stage: flattens the sheet and finds its quiescent solution.
 * Throws {@link NoSolution}, or `RunsAway` where the heat has no solution.
 */
export function openStage(sheet: Sheet, options: OpenOptions = {}): Stage {
  const network = flatten(sheet);
  const kernel = new PlainKernel(network, sheet.ambient);
  const solver = new StaticSolver(kernel);
  const x = new Float64Array(kernel.n);
  const near = options.near !== undefined && warmed(options.near, network, kernel, solver, x) ? options.near : undefined;
  const outcome = near === undefined ? ramp(solver, x) : near.outcome;
  if (!outcome.converged) {
    throw new NoSolution('no quiescent point was found', [
      `the supplies were raised together to ${(100 * outcome.share).toFixed(0)} % in ${outcome.steps} steps`,
      ...(outcome.folded ? ['the path was followed by arc length where it folds back'] : []),
    ]);
  }
  const paths = thermalPaths(sheet, network);
  if (options.isothermal) paths.warm = [];
  const cold = new Float64Array(paths.own.length).fill(sheet.ambient);
  if (paths.warm.length === 0) {
    kernel.setTemperatures(cold);
    if (near !== undefined && !resolve(solver, x)) throw new NoSolution('no quiescent point was found', []);
    return { sheet, network, kernel, solver, paths, x, temperatures: cold, outcome };
  }
  const temperatures = settleHeat(
    paths,
    (kelvin) => {
      kernel.setTemperatures(kelvin);
      if (!resolve(solver, x)) return null;
      kernel.evaluate(x, null, false);
      return dissipations(kernel, x);
    },
    near === undefined ? {} : { start: near.temperatures },
  );
  kernel.setTemperatures(temperatures);
  if (!resolve(solver, x)) throw new NoSolution('no quiescent point was found at the junction temperatures', []);
  return { sheet, network, kernel, solver, paths, x, temperatures, outcome };
}
