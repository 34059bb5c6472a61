/** How far a waveform departs from what a stage that never ran out would do: the figure for drives that have harmonics of their own. */
import type { Quadrature } from '../measure/integrals.ts';
import { shapeOf } from '../solve/generator.ts';
import { LinearKernel } from '../solve/linear-kernel.ts';
import { type Orbit, orbitAt } from '../solve/orbit.ts';
import { ACCURATE, type PeriodicOptions, PeriodicSolver } from '../solve/periodic.ts';
import type { Stage } from '../solve/stage.ts';
import type { MovingDrive, Settled } from './settle.ts';

/** The small-signal response to the same drive, settled; found again from one nearby of the same period where there is one. */
export function linearOrbit(
  stage: Stage,
  drive: MovingDrive,
  peak: number,
  options: PeriodicOptions = ACCURATE,
  near: Orbit | null = null,
): Orbit {
  const linear = new LinearKernel(stage.kernel, stage.x);
  const shape = shapeOf(drive);
  const solver = new PeriodicSolver(linear, {
    period: 1 / drive.frequency,
    corners: shape.corners,
    emf: (p) => drive.offset + peak * shape.at(p),
  });
  return ((near && solver.resume(near, options)) ?? solver.solve(stage.x, options)).orbit;
}

/** Rms of (alternating output less the small-signal response to the same drive) over the rms of that response. */
export function departureOf(
  stage: Stage,
  drive: MovingDrive,
  settled: Settled,
  quadrature: Quadrature,
  values: Float64Array,
  mean: number,
  options: PeriodicOptions = ACCURATE,
): number | null {
  stage.kernel.setTemperatures(stage.temperatures);
  const orbit = linearOrbit(stage, drive, settled.peak, options);
  const out = stage.network.outputNode;
  const x = new Float64Array(orbit.n);
  const response = new Float64Array(quadrature.time.length);
  let linearMean = 0;
  let span = 0;
  for (let k = 0; k < response.length; k++) {
    orbitAt(orbit, quadrature.time[k], stage.network.nodes.length, x);
    response[k] = x[out];
    linearMean += quadrature.weight[k] * x[out];
    span += quadrature.weight[k];
  }
  linearMean /= span;
  let difference = 0;
  let size = 0;
  for (let k = 0; k < response.length; k++) {
    const r = response[k] - linearMean;
    const d = values[k * settled.orbit.n + out] - mean - r;
    difference += quadrature.weight[k] * d * d;
    size += quadrature.weight[k] * r * r;
  }
  return size > 0 ? Math.sqrt(difference / size) : null;
}
