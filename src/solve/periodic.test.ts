/** Settled periods against phasors and exponentials: linear networks whose answers are known in closed form. */
import { describe, expect, it } from 'vitest';
import { square as squared } from '../numerics/elementary.ts';
import { settleSecond } from './cross-check.ts';
import { LinearKernel } from './linear-kernel.ts';
import { orbitAt } from './orbit.ts';
import { NotSettled, type PeriodicDrive, PeriodicSolver } from './periodic.ts';
import { kernelOf, stageOf } from './testing.ts';

const sine = (frequency: number, peak = 1): PeriodicDrive => ({
  period: 1 / frequency,
  corners: [],
  emf: (p) => peak * Math.sin(2 * Math.PI * p),
});
const DRIVE = 'drive: { node: in, sourceResistance: 0, waveform: sine, peak: 1 V, frequency: 1 kHz }\n';
const low = (ohms: string, farads: string): string =>
  `supplies: {}\nparts:\n  R1: { resistor: ${ohms}, from: in, to: a }\n  C1: { capacitor: ${farads}, from: a, to: gnd }\n${DRIVE}`;

/** Values of a node at `count` even instants of the period. */
function sampled(outcome: ReturnType<PeriodicSolver['solve']>, nodes: number, i: number, count: number): number[] {
  const { orbit } = outcome;
  const period = orbit.mesh[orbit.mesh.length - 1];
  const x = new Float64Array(orbit.n);
  return Array.from({ length: count }, (_, k) => {
    orbitAt(orbit, (k * period) / count, nodes, x);
    return x[i];
  });
}

describe('an RC low-pass', () => {
  // From far above to far below its corner, and 1000 periods in one time constant.
  it.each([
    [1, '1k', '1u'],
    [1000, '1k', '1u'],
    [1e6, '1k', '1u'],
    [1000, '1k', '1m'],
    [10e6, '50', '300p'],
  ])('at %f Hz with %s and %s follows its phasor, and its multiplier is exp(-T/RC)', (frequency, ohms, farads) => {
    const { kernel, node } = kernelOf(low(ohms, farads));
    const r = kernel.network.resistors[0].resistance;
    const c = kernel.network.capacitors[0].capacitance;
    const solver = new PeriodicSolver(kernel, sine(frequency));
    const outcome = solver.solve(new Float64Array(kernel.n));
    const w = 2 * Math.PI * frequency * r * c;
    const gain = 1 / Math.hypot(1, w);
    const values = sampled(outcome, kernel.network.nodes.length, node('a'), 64);
    for (let k = 0; k < 64; k++) {
      const expected = gain * Math.sin((2 * Math.PI * k) / 64 - Math.atan(w));
      expect(Math.abs(values[k] - expected)).toBeLessThan(8e-6 * 2 * gain + 8e-9);
    }
    expect(outcome.multipliers).toHaveLength(1);
    expect(Math.abs(outcome.multipliers[0].size - Math.exp(-1 / (frequency * r * c)))).toBeLessThan(1e-7);
    expect(outcome.error).toBeLessThan(8e-6);
  });

  it('answers a square with edges by exponentials, exactly at the ends of its half periods', () => {
    const { kernel, node } = kernelOf(low('1k', '1u'));
    const half = 5e-4;
    const edge = 2e-3;
    const emf = (p: number): number => {
      const q = p - Math.floor(p);
      if (q < edge) return -1 + (2 * q) / edge;
      if (q < 0.5) return 1;
      if (q < 0.5 + edge) return 1 - (2 * (q - 0.5)) / edge;
      return -1;
    };
    const outcome = new PeriodicSolver(kernel, { period: 1e-3, corners: [0, edge, 0.5, 0.5 + edge], emf }).solve(
      new Float64Array(kernel.n),
    );
    // v(0) = -V by symmetry. Over an edge of length d the ramp r(t) = -1 + 2t/d gives v = r - 2 tau/d + (v0 + 1 + 2 tau/d) e^(-t/tau).
    const tau = 1e-3;
    const d = edge * 1e-3;
    const slope = (2 * tau) / d;
    const e1 = Math.exp(-d / tau);
    const e2 = Math.exp(-(half - d) / tau);
    // V = 1 + (v(d) - 1) e2 with v(d) = 1 - slope + (1 - V + slope) e1.
    const top = (1 + e2 * (-slope + (1 + slope) * e1)) / (1 + e1 * e2);
    const [start, middle] = sampled(outcome, kernel.network.nodes.length, node('a'), 2);
    expect(middle).toBeCloseTo(top, 9);
    expect(start).toBeCloseTo(-top, 9);
  });
});

describe('a resonant circuit', () => {
  it('has a pair of multipliers at exp(s T) of its poles', () => {
    const { kernel } = kernelOf(
      `supplies: {}\nparts:\n  R1: { resistor: 5, from: in, to: b }\n  L1: { inductor: 1m, from: b, to: a }\n  C1: { capacitor: 1u, from: a, to: gnd }\n${DRIVE}`,
    );
    const frequency = 3000;
    const outcome = new PeriodicSolver(kernel, sine(frequency)).solve(new Float64Array(kernel.n));
    const decay = 5 / (2 * 1e-3);
    const omega = Math.sqrt(1 / (1e-3 * 1e-6) - squared(decay));
    const size = Math.exp(-decay / frequency);
    expect(outcome.multipliers).toHaveLength(2);
    for (const m of outcome.multipliers) {
      expect(m.size).toBeCloseTo(size, 6);
      expect(m.re).toBeCloseTo(size * Math.cos(omega / frequency), 6);
      expect(Math.abs(m.im)).toBeCloseTo(Math.abs(size * Math.sin(omega / frequency)), 6);
    }
  });
});

describe('devices', () => {
  // A peak rectifier with a large capacitor conducts for a small part of the period; in balance of charge, the mean of the
  // diode's current is that of the load.
  it('that are off most of the period settle: the peak rectifier takes in what its load takes out', () => {
    const stage = stageOf(
      `supplies: {}\ndevices: { d: { diode: { saturationCurrent: 1e-12 } } }\nparts:\n  D1: { diode: d, anode: in, cathode: a }\n  C1: { capacitor: 10u, from: a, to: gnd }\n  R1: { resistor: 10k, from: a, to: gnd }\ndrive: { node: in, sourceResistance: 10, waveform: sine, peak: 5 V, frequency: 1 kHz }\n`,
    );
    const { kernel, network } = stage;
    const solver = new PeriodicSolver(kernel, sine(1000, 5));
    const outcome = solver.solve(stage.x);
    const nodes = network.nodes.length;
    const out = sampled(outcome, nodes, network.nodes.indexOf('a'), 4000);
    const mean = out.reduce((a, b) => a + b, 0) / 4000;
    // The source's current is that of the diode.
    const generator = sampled(outcome, nodes, nodes + network.generator, 4000).map((i) => -i);
    const current = generator.reduce((a, b) => a + b, 0) / 4000;
    expect(current / (mean / 1e4)).toBeCloseTo(1, 4);
    expect(generator.filter((i) => i > 1e-2 * Math.max(...generator)).length).toBeLessThan(800);
    expect(mean).toBeGreaterThan(4);
    expect(mean).toBeLessThan(5);
  });

  const follower = (drive: string): string =>
    `supplies: { vcc: 9 V }\ndevices: { q: { npn: { saturationCurrent: 2e-14, forwardBeta: 190, reverseBeta: 3, emitterJunctionCapacitance: 20p, emitterJunctionPotential: 0.75 V, emitterJunctionGrading: 0.33, collectorJunctionCapacitance: 8p, collectorJunctionPotential: 0.6 V, collectorJunctionGrading: 0.4, forwardTransitTime: 0.4n } } }\nparts:\n  R1: { resistor: 27k, from: vcc, to: base }\n  R2: { resistor: 39k, from: base, to: gnd }\n  C1: { capacitor: 2u2, from: in, to: base }\n  Q1: { npn: q, collector: vcc, base: base, emitter: out }\n  R3: { resistor: 470, from: out, to: gnd }\n${drive}`;

  it.each([
    ['at 10 MHz with charges', 10e6, 1],
    ['in gross overdrive, to four times the supply each way', 1000, 36],
  ])('%s settle on the waveform that the second method finds', (_, frequency, peak) => {
    const stage = stageOf(follower(`drive: { node: in, sourceResistance: 600, waveform: sine, peak: 1 V, frequency: ${frequency} }\n`));
    const { kernel, network } = stage;
    const solver = new PeriodicSolver(kernel, sine(frequency, peak));
    const outcome = solver.solve(stage.x);
    expect(outcome.multipliers[0].size).toBeLessThan(1);
    const steps = 2000;
    const second = settleSecond(kernel, sine(frequency, peak), stage.x, { steps, rounds: 200 });
    if (!second) throw new Error('the second method found nothing');
    const nodes = network.nodes.length;
    const out = network.nodes.indexOf('out');
    const first = sampled(outcome, nodes, out, steps);
    const scale = Math.max(...first) - Math.min(...first);
    const apart = first.map((v, k) => Math.abs(v - second.x[k * second.n + out]) / scale);
    expect(scale).toBeGreaterThan(0.5);
    expect(Math.max(...apart)).toBeLessThan(1e-3);
  });

  it('resume from a known orbit in fewer iterations than from rest, to the same waveform', () => {
    const stage = stageOf(follower('drive: { node: in, sourceResistance: 600, waveform: sine, peak: 1 V, frequency: 1 kHz }\n'));
    const solver = new PeriodicSolver(stage.kernel, sine(1000, 1));
    const cold = solver.solve(stage.x);
    const again = solver.resume(cold.orbit);
    expect(again?.iterations).toBe(1);
    expect(again?.shots).toBe(0);
    expect(again?.multipliers[0].size).toBeCloseTo(cold.multipliers[0].size, 9);
  });

  it('linearised settle on the sine of their small-signal gain, at any amplitude', () => {
    const stage = stageOf(follower('drive: { node: in, sourceResistance: 600, waveform: sine, peak: 1 V, frequency: 1 kHz }\n'));
    const linear = new LinearKernel(stage.kernel, stage.x);
    const solver = new PeriodicSolver(linear, sine(1000, 1000));
    const outcome = solver.solve(stage.x);
    const nodes = stage.network.nodes.length;
    const out = sampled(outcome, nodes, stage.network.nodes.indexOf('out'), 64);
    const mean = out.reduce((a, b) => a + b, 0) / 64;
    expect(mean).toBeCloseTo(stage.x[stage.network.nodes.indexOf('out')], 3);
    // Odd about half the period: no even harmonics.
    const peak = Math.max(...out) - mean;
    for (let k = 0; k < 32; k++) expect(Math.abs(out[k] + out[k + 32] - 2 * mean)).toBeLessThan(2e-5 * peak);
    expect(peak).toBeGreaterThan(800);
  });
});

describe('what does not settle', () => {
  it('is refused, not shown: charge that nothing takes away', () => {
    const { kernel } = kernelOf(
      `supplies: {}\nparts:\n  I1: { current: 1 mA, from: gnd, to: a }\n  C1: { capacitor: 1u, from: a, to: gnd }\n  R1: { resistor: 1k, from: in, to: gnd }\n${DRIVE}`,
    );
    expect(() => new PeriodicSolver(kernel, sine(1000)).solve(new Float64Array(kernel.n))).toThrow(NotSettled);
  });
});
