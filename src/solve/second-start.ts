/** The second method's period as a start for the first: its values at the stages of an even mesh. */
import type { SecondPeriod } from './cross-check.ts';
import { evenMesh } from './mesh.ts';
import { type Orbit, stepsOf } from './orbit.ts';
import { NODES, STAGES } from './radau.ts';

const STEPS = 240;

/** An orbit through `second`, straight between its instants: near enough for Newton, no solution itself. */
export function orbitThrough(second: SecondPeriod, corners: readonly number[]): Orbit {
  const { times, x, n } = second;
  const { mesh, corner } = evenMesh(times[times.length - 1], [...corners], STEPS);
  const orbit: Orbit = { mesh, corner, n, x: new Float64Array((mesh.length - 1) * STAGES * n) };
  let k = 1;
  for (let s = 0; s < stepsOf(orbit); s++) {
    for (let j = 0; j < STAGES; j++) {
      const t = mesh[s] + NODES[j] * (mesh[s + 1] - mesh[s]);
      while (k < times.length - 1 && times[k] < t) k++;
      const share = (t - times[k - 1]) / (times[k] - times[k - 1]);
      const at = (s * STAGES + j) * n;
      for (let i = 0; i < n; i++) orbit.x[at + i] = x[(k - 1) * n + i] + share * (x[k * n + i] - x[(k - 1) * n + i]);
    }
  }
  return orbit;
}
