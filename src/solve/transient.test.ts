/** Runs in time from switch-on against the exponentials of linear networks. */
import { describe, expect, it } from 'vitest';
import { orbitAt } from './orbit.ts';
import { kernelOf } from './testing.ts';
import { runFrom, switchedOn } from './transient.ts';

describe('a run from switch-on', () => {
  const { kernel, node } = kernelOf(
    'supplies: { vcc: 10 V }\nparts:\n  R1: { resistor: 1k, from: vcc, to: a }\n  C1: { capacitor: 1u, from: a, to: gnd }\n  R2: { resistor: 1M, from: in, to: gnd }\ndrive: { node: in, sourceResistance: 0, waveform: sine, peak: 1 V, frequency: 1 kHz }\n',
  );
  it('begins discharged, the charging current limited by the resistor alone', () => {
    const x = switchedOn(kernel, 0, 1e-18);
    expect(Math.abs(x[node('a')])).toBeLessThan(1e-9);
    expect(x[kernel.network.nodes.length]).toBeCloseTo(-10e-3, 9);
  });
  it('charges a capacitor by 1 - exp(-t/RC) at every instant, not at mesh points alone', () => {
    const orbit = runFrom(kernel, switchedOn(kernel, 0, 1e-18), { emf: () => 0, corners: [] }, 5e-3);
    const x = new Float64Array(orbit.n);
    for (let k = 0; k <= 300; k++) {
      const t = (5e-3 * k) / 300;
      orbitAt(orbit, t, kernel.network.nodes.length, x);
      expect(Math.abs(x[node('a')] - 10 * -Math.expm1(-t / 1e-3))).toBeLessThan(10 * 8e-5);
    }
    expect(orbit.mesh[orbit.mesh.length - 1]).toBe(5e-3);
  });
  it('divides the step among capacitors at once', () => {
    const divider = kernelOf(
      'supplies: { vcc: 9 V }\nparts:\n  C1: { capacitor: 1u, from: vcc, to: a }\n  C2: { capacitor: 2u, from: a, to: gnd }\n  R1: { resistor: 1k, from: a, to: gnd }\n',
    );
    const x = switchedOn(divider.kernel, 0, 1e-15);
    expect(x[divider.node('a')]).toBeCloseTo(3, 6);
    const orbit = runFrom(divider.kernel, x, { emf: () => 0, corners: [] }, 6e-3);
    const end = new Float64Array(orbit.n);
    orbitAt(orbit, 6e-3, divider.kernel.network.nodes.length, end);
    expect(end[divider.node('a')]).toBeCloseTo(3 * Math.exp(-2), 5);
  });
  it('has a mesh point at every corner of the drive within it', () => {
    const ramp = kernelOf(
      'supplies: {}\nparts:\n  R1: { resistor: 1k, from: in, to: a }\n  C1: { capacitor: 1u, from: a, to: gnd }\ndrive: { node: in, sourceResistance: 0, waveform: sine, peak: 1 V, frequency: 1 kHz }\n',
    );
    const corner = 1.234e-3;
    const emf = (t: number): number => Math.max(0, (t - corner) * 1e3);
    const orbit = runFrom(ramp.kernel, switchedOn(ramp.kernel, 0, 1e-15), { emf, corners: [corner] }, 4e-3);
    const at = orbit.mesh.indexOf(corner);
    expect(at).toBeGreaterThan(0);
    expect(orbit.corner[at]).toBe(true);
    const x = new Float64Array(orbit.n);
    orbitAt(orbit, 4e-3, ramp.kernel.network.nodes.length, x);
    // Ramp of 1 V/ms through 1 ms: t - tau (1 - exp(-t/tau)).
    const u = 4 - 1.234;
    expect(x[ramp.node('a')]).toBeCloseTo(u - 1 + Math.exp(-u), 5);
  });
});
