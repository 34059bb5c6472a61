/** The polynomials between mesh points, their error, and the mesh that evens it. */
import { describe, expect, it } from 'vitest';
import { evenMesh, meshErrors, refinedMesh } from './mesh.ts';
import { evaluateOrbit, type Orbit, orbitAt, slopeWeights, stepAt, stepsOf } from './orbit.ts';
import { NODES, STAGES } from './radau.ts';

/** An orbit of one node that holds f at its stages. */
function orbitOf({ mesh, corner }: { mesh: Float64Array; corner: boolean[] }, f: (t: number) => number, start?: number): Orbit {
  const x = new Float64Array((mesh.length - 1) * STAGES);
  for (let s = 0; s < mesh.length - 1; s++)
    for (let k = 0; k < STAGES; k++) x[s * STAGES + k] = f(mesh[s] + NODES[k] * (mesh[s + 1] - mesh[s]));
  return { mesh, corner, n: 1, x, ...(start === undefined ? {} : { start: Float64Array.of(start) }) };
}
/** Largest true error between the stages of each step. */
function trueErrors(orbit: Orbit, f: (t: number) => number): Float64Array {
  const out = new Float64Array(1);
  return Float64Array.from({ length: stepsOf(orbit) }, (_, s) => {
    let worst = 0;
    for (let k = 0; k <= 100; k++) {
      const c = k / 100;
      evaluateOrbit(orbit, s, c, 1, out);
      worst = Math.max(worst, Math.abs(out[0] - f(orbit.mesh[s] + c * (orbit.mesh[s + 1] - orbit.mesh[s]))));
    }
    return worst;
  });
}
const largest = (values: Float64Array): number => values.reduce((a, b) => Math.max(a, b), 0);

describe('the orbit between its stages', () => {
  const cubic = (t: number): number => 2 - 3 * t + 5 * t * t - 7 * t * t * t;
  const orbit = orbitOf({ mesh: Float64Array.of(0, 0.1, 0.5, 1), corner: [false, false, false] }, cubic, cubic(0));

  it('reproduces a cubic at every instant, on uneven steps', () => {
    const out = new Float64Array(1);
    for (let k = 0; k <= 200; k++) {
      orbitAt(orbit, k / 200, 1, out);
      expect(out[0]).toBeCloseTo(cubic(k / 200), 12);
    }
  });
  it('has the slope of a cubic', () => {
    for (const c of [0, 0.3, 0.77, 1]) {
      const w = slopeWeights(c);
      const h = 0.4;
      const at = (share: number): number => cubic(0.1 + h * share);
      const slope = (w[0] * at(0) + w[1] * at(NODES[0]) + w[2] * at(NODES[1]) + w[3] * at(1)) / h;
      const t = 0.1 + h * c;
      expect(slope).toBeCloseTo(-3 + 10 * t - 21 * t * t, 10);
    }
  });
  it('finds the step of an instant, a mesh point belonging to the step it begins', () => {
    expect([0, 0.05, 0.1, 0.49, 0.5, 1].map((t) => stepAt(orbit, t))).toEqual([0, 0, 1, 1, 2, 2]);
  });
  it('lets a branch current jump where the drive has a corner, but no node voltage', () => {
    const jumping: Orbit = {
      mesh: Float64Array.of(0, 1),
      corner: [true],
      n: 2,
      x: Float64Array.of(5, 5, 5, 5, 5, 5),
      start: Float64Array.of(0, 0),
    };
    const out = new Float64Array(2);
    evaluateOrbit(jumping, 0, 0, 1, out);
    expect(out[0]).toBeCloseTo(0, 14);
    expect(out[1]).toBeCloseTo(5, 14);
  });
});

describe('the estimated error between stages', () => {
  it('bounds the true one of a sine, and is no more than twice it', () => {
    const f = (t: number): number => Math.sin(2 * Math.PI * t);
    const orbit = orbitOf(evenMesh(1, [], 60), f);
    const estimate = largest(meshErrors(orbit, Float64Array.of(1)));
    const truth = largest(trueErrors(orbit, f));
    expect(truth).toBeLessThan(estimate * 1.01);
    expect(truth).toBeGreaterThan(estimate / 2);
  });
  it('bounds the true one of a waveform with a brisk turn, on the mesh that it leads to', () => {
    // A smoothed rectifier: exp and log of a sine, turning within 1/100 of the period.
    const f = (t: number): number => Math.log1p(Math.exp(40 * Math.sin(2 * Math.PI * t))) / 40;
    let orbit = orbitOf(evenMesh(1, [], 60), f);
    for (let round = 0; round < 7; round++) orbit = orbitOf(refinedMesh(orbit, meshErrors(orbit, Float64Array.of(1)), [], 4e-6, 2400), f);
    expect(largest(meshErrors(orbit, Float64Array.of(1)))).toBeLessThan(8e-6);
    expect(largest(trueErrors(orbit, f))).toBeLessThan(8e-6);
  });
  it('is nil for a waveform of straight lines whose corners are mesh points', () => {
    const triangle = (t: number): number => (t < 0.25 ? 4 * t : t < 0.75 ? 2 - 4 * t : 4 * t - 4);
    const orbit = orbitOf(evenMesh(1, [0.25, 0.75], 20), triangle);
    expect(largest(meshErrors(orbit, Float64Array.of(1)))).toBeLessThan(1e-12);
    const across = orbitOf(
      { ...evenMesh(1, [0.25, 0.75], 20), corner: new Array(orbit.corner.length).fill(false) },
      (t) => triangle(t) ** 2,
    );
    expect(largest(meshErrors(across, Float64Array.of(1)))).toBeLessThan(1e-12);
  });
});

describe('the mesh', () => {
  it('has every corner of the drive on it, marked, with at least three steps between', () => {
    const { mesh, corner } = evenMesh(2, [0.001, 0.5], 10);
    const at = (t: number): number => mesh.findIndex((v) => Math.abs(v - t) < 1e-12);
    expect(corner[at(0.002)]).toBe(true);
    expect(corner[at(1)]).toBe(true);
    expect(corner.filter(Boolean)).toHaveLength(2);
    expect(at(0.002)).toBeGreaterThanOrEqual(3);
    expect(mesh[0]).toBe(0);
    expect(mesh[mesh.length - 1]).toBe(2);
    for (let k = 1; k < mesh.length; k++) expect(mesh[k]).toBeGreaterThan(mesh[k - 1]);
  });
  it('keeps to the most steps allowed', () => {
    const f = (t: number): number => Math.sin(200 * Math.PI * t);
    const orbit = orbitOf(evenMesh(1, [], 60), f);
    const { mesh } = refinedMesh(orbit, meshErrors(orbit, Float64Array.of(1)), [], 1e-9, 100);
    expect(mesh.length - 1).toBeLessThanOrEqual(101);
  });
});
