/**
 * Non-linear least squares by Levenberg and Marquardt (Levenberg, Quarterly of Applied Mathematics 2, 1944; Marquardt,
 * SIAM Journal 11, 1963), each step solved by Householder reflections of the stacked matrix, so that conditioning is not
 * squared. For problems of up to some tens of parameters.
 */
import { square } from './elementary.ts';

/** Why an iteration stopped. The first three are solutions. */
export type StopReason =
  /** The gradient vanishes: a stationary point to rounding. */
  | 'gradient'
  /** The last step changed no parameter by more than the tolerance. */
  | 'step'
  /** The last step lowered the sum of squares by less than the tolerance. */
  | 'cost'
  /** No step, however short, lowers the sum of squares. */
  | 'stalled'
  /** Out of iterations: not a solution. */
  | 'limit';

export interface LeastSquaresResult {
  parameters: Float64Array;
  /** Residuals at `parameters`. */
  residuals: Float64Array;
  /** Half the sum of squared residuals. */
  cost: number;
  reason: StopReason;
  iterations: number;
  /** Inverse of J^T J (row by row), times no variance: with residuals in standard deviations, the parameters' covariance.
   * Null where some parameter has no influence. */
  covariance: Float64Array | null;
}

export interface LeastSquaresOptions {
  /** Step of the central differences for each parameter, in its own unit. Default 1e-5 of |p|, at least 1e-5. */
  steps?: Float64Array;
  /** Relative tolerance of step and cost; default 1e-10. */
  tolerance?: number;
  /** Default 200. */
  limit?: number;
}

const FIRST_DAMPING = 1e-3;
const LARGEST_DAMPING = 1e16;

/**
 * Minimises half the sum of squared residuals.
 * @param evaluate writes the residuals at given parameters; a value that is not finite refuses the point
 * @param start parameters to begin with
 * @param count number of residuals, at least that of the parameters
 * @throws RangeError if there are fewer residuals than parameters, or the start itself is refused
 */
export function leastSquares(
  evaluate: (parameters: Float64Array, residuals: Float64Array) => void,
  start: ArrayLike<number>,
  count: number,
  options: LeastSquaresOptions = {},
): LeastSquaresResult {
  const n = start.length;
  if (count < n) throw new RangeError(`${n} parameters need as many residuals, not ${count}`);
  const tolerance = options.tolerance ?? 1e-10;
  const limit = options.limit ?? 200;
  let parameters: Float64Array = Float64Array.from(start);
  let residuals: Float64Array = new Float64Array(count);
  evaluate(parameters, residuals);
  let cost = halfSquare(residuals);
  if (!Number.isFinite(cost)) throw new RangeError('the residuals at the starting point are not finite');
  let damping = FIRST_DAMPING;
  let jacobian: Float64Array = new Float64Array(0);
  const finish = (reason: StopReason, iterations: number): LeastSquaresResult => ({
    parameters,
    residuals,
    cost,
    reason,
    iterations,
    covariance: inverseOfNormal(jacobian, count, n),
  });
  for (let iteration = 1; iteration <= limit; iteration++) {
    jacobian = differences(evaluate, parameters, count, options.steps);
    const scale = columnNorms(jacobian, count, n);
    if (isStationary(jacobian, residuals, scale, cost)) return finish('gradient', iteration);
    for (;;) {
      const step = dampedStep(jacobian, residuals, scale, damping, count, n);
      const trial = parameters.map((p, i) => p + step[i]);
      const trialResiduals = new Float64Array(count);
      evaluate(trial, trialResiduals);
      const trialCost = halfSquare(trialResiduals);
      if (trialCost < cost) {
        const gain = cost - trialCost;
        const small = step.every((d, i) => Math.abs(d) <= tolerance * (Math.abs(parameters[i]) + tolerance));
        parameters = trial;
        residuals = trialResiduals;
        const before = cost;
        cost = trialCost;
        damping = Math.max(damping / 10, 1e-14);
        if (small) return finish('step', iteration);
        if (gain <= tolerance * before) return finish('cost', iteration);
        break;
      }
      if (step.every((d, i) => Math.abs(d) <= tolerance * (Math.abs(parameters[i]) + tolerance))) return finish('step', iteration);
      damping *= 10;
      if (damping > LARGEST_DAMPING) return finish('stalled', iteration);
    }
  }
  return finish('limit', limit);
}

function halfSquare(residuals: Float64Array): number {
  let sum = 0;
  for (const r of residuals) sum += r * r;
  return 0.5 * sum;
}

/** Jacobian row by row, by central differences. */
function differences(
  evaluate: (parameters: Float64Array, residuals: Float64Array) => void,
  parameters: Float64Array,
  count: number,
  steps: Float64Array | undefined,
): Float64Array {
  const n = parameters.length;
  const jacobian = new Float64Array(count * n);
  const above = new Float64Array(count);
  const below = new Float64Array(count);
  for (let j = 0; j < n; j++) {
    const h = steps ? steps[j] : 1e-5 * Math.max(1, Math.abs(parameters[j]));
    const moved = parameters.slice();
    moved[j] = parameters[j] + h;
    const up = moved[j];
    evaluate(moved, above);
    moved[j] = parameters[j] - h;
    evaluate(moved, below);
    for (let i = 0; i < count; i++) {
      const d = (above[i] - below[i]) / (up - moved[j]);
      jacobian[i * n + j] = Number.isFinite(d) ? d : 0;
    }
  }
  return jacobian;
}

function columnNorms(jacobian: Float64Array, count: number, n: number): Float64Array {
  const norms = new Float64Array(n);
  for (let i = 0; i < count; i++) for (let j = 0; j < n; j++) norms[j] += square(jacobian[i * n + j]);
  return norms.map((s) => Math.sqrt(s));
}

/** Whether every column is orthogonal to the residuals, to rounding. */
function isStationary(jacobian: Float64Array, residuals: Float64Array, scale: Float64Array, cost: number): boolean {
  const n = scale.length;
  const size = Math.sqrt(2 * cost);
  if (size === 0) return true;
  for (let j = 0; j < n; j++) {
    let dot = 0;
    for (let i = 0; i < residuals.length; i++) dot += jacobian[i * n + j] * residuals[i];
    if (Math.abs(dot) > 1e-13 * scale[j] * size) return false;
  }
  return true;
}

/** Minimises |J d + r|^2 + damping |scale d|^2. */
function dampedStep(
  jacobian: Float64Array,
  residuals: Float64Array,
  scale: Float64Array,
  damping: number,
  count: number,
  n: number,
): Float64Array {
  const rows = count + n;
  const a = new Float64Array(rows * n);
  a.set(jacobian);
  const b = new Float64Array(rows);
  for (let i = 0; i < count; i++) b[i] = -residuals[i];
  // A column without influence gets a unit scale: its parameter then stays.
  for (let j = 0; j < n; j++) a[(count + j) * n + j] = Math.sqrt(damping) * (scale[j] || 1);
  reflect(a, b, rows, n);
  return backSubstitute(a, b, n);
}

/** Householder reflections to upper triangular form, in place, with the right-hand side. */
function reflect(a: Float64Array, b: Float64Array | null, rows: number, n: number): void {
  for (let k = 0; k < n; k++) {
    let norm = 0;
    for (let i = k; i < rows; i++) norm += square(a[i * n + k]);
    norm = Math.sqrt(norm);
    if (norm === 0) continue;
    const alpha = a[k * n + k] > 0 ? -norm : norm;
    const v = new Float64Array(rows - k);
    for (let i = k; i < rows; i++) v[i - k] = a[i * n + k];
    v[0] -= alpha;
    let squares = 0;
    for (const x of v) squares += x * x;
    for (let j = k; j < n; j++) {
      let dot = 0;
      for (let i = k; i < rows; i++) dot += v[i - k] * a[i * n + j];
      const factor = (2 * dot) / squares;
      for (let i = k; i < rows; i++) a[i * n + j] -= factor * v[i - k];
    }
    if (!b) continue;
    let dot = 0;
    for (let i = k; i < rows; i++) dot += v[i - k] * b[i];
    const factor = (2 * dot) / squares;
    for (let i = k; i < rows; i++) b[i] -= factor * v[i - k];
  }
}

function backSubstitute(a: Float64Array, b: Float64Array, n: number): Float64Array {
  const x = new Float64Array(n);
  for (let i = n - 1; i >= 0; i--) {
    let sum = b[i];
    for (let j = i + 1; j < n; j++) sum -= a[i * n + j] * x[j];
    x[i] = sum / a[i * n + i];
  }
  return x;
}

/** (J^T J)^-1 by way of the triangle, or null where it is singular. */
function inverseOfNormal(jacobian: Float64Array, count: number, n: number): Float64Array | null {
  if (jacobian.length === 0) return null;
  const a = jacobian.slice();
  const norms = columnNorms(jacobian, count, n);
  reflect(a, null, count, n);
  for (let j = 0; j < n; j++) if (!(Math.abs(a[j * n + j]) > 1e-12 * norms[j])) return null;
  // Columns of R^-1.
  const inverse = new Float64Array(n * n);
  for (let j = 0; j < n; j++) {
    const unit = new Float64Array(n);
    unit[j] = 1;
    const column = backSubstitute(a, unit, n);
    for (let i = 0; i < n; i++) inverse[i * n + j] = column[i];
  }
  const covariance = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < n; j++) {
      let sum = 0;
      for (let k = 0; k < n; k++) sum += inverse[i * n + k] * inverse[j * n + k];
      covariance[i * n + j] = sum;
    }
  }
  return covariance;
}
