/** Small signals and the linearised stage, against phasors and hand formulas. */
import { describe, expect, it } from 'vitest';
import { thermalVoltage } from '../devices/constants.ts';
import { LinearKernel } from './linear-kernel.ts';
import { divide, LinearStage, magnitude, SeenFrom } from './small-signal.ts';
import { kernelOf, stageOf } from './testing.ts';

const DRIVE = 'drive: { node: in, sourceResistance: 600, waveform: sine, peak: 1 V, frequency: 1 kHz }\noutput: out\n';
const omega = 2 * Math.PI * 1000;

describe('complex arithmetic', () => {
  it('divides and measures without overflow', () => {
    const z = divide({ re: 1e200, im: 2e200 }, { re: 1e200, im: -1e200 });
    expect(z.re).toBeCloseTo(-0.5, 14);
    expect(z.im).toBeCloseTo(1.5, 14);
    expect(magnitude({ re: 3e200, im: -4e200 }) / 5e200).toBeCloseTo(1, 14);
    expect(magnitude({ re: 0, im: 0 })).toBe(0);
  });
});

describe('what generator and load see of a ladder', () => {
  const { kernel } = kernelOf(
    `supplies: {}\nparts:\n  R1: { resistor: 1k, from: in, to: out }\n  C1: { capacitor: 100n, from: out, to: gnd }\n${DRIVE}loads:\n  x: { resistor: 2k }\n`,
  );
  const seen = new SeenFrom(kernel, new Float64Array(kernel.n)).at(omega);
  const y = omega * 100e-9;
  // Load and capacitor together: 1/(1/2k + j w C).
  const parallel = divide({ re: 1, im: 0 }, { re: 1 / 2000, im: y });
  const input = { re: 1000 + parallel.re, im: parallel.im };
  const near = (z: { re: number; im: number } | null, w: { re: number; im: number }): void => {
    if (!z) throw new Error('undefined');
    expect(magnitude({ re: z.re - w.re, im: z.im - w.im })).toBeLessThan(1e-11 * magnitude(w));
  };
  it('is its gain from the input and from the generator', () => {
    near(seen.gain, divide(parallel, input));
    near(seen.overallGain, divide(parallel, { re: input.re + 600, im: input.im }));
  });
  it('is its input impedance with the load, and its output impedance without it', () => {
    near(seen.inputImpedance, input);
    near(seen.outputImpedance, divide({ re: 1, im: 0 }, { re: 1 / 1600, im: y }));
  });
});

describe('an emitter follower', () => {
  // Gray, Hurst, Lewis, Meyer, 4th ed., 3.3.5: r_pi = beta V_T/I_C; gain and impedances exact for the hybrid-pi without r_o.
  it('has the gain and the impedances of its hybrid-pi model', () => {
    const stage = stageOf(
      `supplies: { vcc: 9 V }\ndevices: { q: { npn: { saturationCurrent: 1e-15, forwardBeta: 150, reverseBeta: 1 } } }\nparts:\n  V1: { voltage: 5 V, from: b, to: in }\n  Q1: { npn: q, collector: vcc, base: b, emitter: out }\n  R3: { resistor: 470, from: out, to: gnd }\n${DRIVE}`,
    );
    const seen = new SeenFrom(stage.kernel, stage.x).at(omega);
    const out = stage.x[stage.network.nodes.indexOf('out')];
    const ib = out / 470 / 151;
    const rpi = thermalVoltage(298.15) / ib;
    // The saturation current's share of the base current is some 1e-11.
    expect(seen.gain?.re).toBeCloseTo((151 * 470) / (rpi + 151 * 470), 8);
    expect((seen.inputImpedance?.re ?? 0) / (rpi + 151 * 470)).toBeCloseTo(1, 7);
    const source = (rpi + 600) / 151;
    expect((seen.outputImpedance?.re ?? 0) / ((source * 470) / (source + 470))).toBeCloseTo(1, 7);
  });
});

describe('elements taken out of a linear stage', () => {
  const { kernel, node } = kernelOf(
    `supplies: {}\nparts:\n  R1: { resistor: 1k, from: in, to: out }\n  R2: { resistor: 1k, from: out, to: gnd }\n  C1: { capacitor: 1u, from: out, to: gnd }\n  L1: { inductor: 10m, from: out, to: far }\n  R4: { resistor: 50, from: far, to: gnd }\n${DRIVE}`,
  );
  const linear = new LinearStage(kernel, new Float64Array(kernel.n));
  const generator = kernel.network.nodes.length + kernel.network.generator;
  const gain = (stage: LinearStage, at: number): { re: number; im: number } => {
    expect(stage.at(at)).toBe(true);
    stage.solve([[generator, 1]]);
    return stage.value(node('out'));
  };
  it('leave a divider of resistors alone, and the stage copied untouched', () => {
    const before = gain(linear, omega);
    const changed = linear.copy();
    changed.withoutCapacitor(0);
    changed.withoutInductance(kernel.network.branches.findIndex((b) => b.part === 'L1'));
    const plain = gain(changed, omega);
    const foot = 1 / (1 / 1000 + 1 / 50);
    expect(plain.re).toBeCloseTo(foot / (1600 + foot), 12);
    expect(plain.im).toBeCloseTo(0, 14);
    changed.withoutBranch(kernel.network.branches.findIndex((b) => b.part === 'L1'));
    expect(gain(changed, omega).re).toBeCloseTo(1000 / 2600, 12);
    changed.withoutResistor(kernel.network.resistors.findIndex((r) => r.part === 'R2'));
    expect(gain(changed, omega).re).toBeCloseTo(1, 12);
    expect(gain(linear, omega)).toEqual(before);
  });
});

describe('the stage as its small-signal self', () => {
  const stage = stageOf(
    `supplies: { vcc: 9 V }\ndevices: { q: { npn: { saturationCurrent: 1e-15, forwardBeta: 150, reverseBeta: 1 } } }\nparts:\n  R1: { resistor: 27k, from: vcc, to: b }\n  R2: { resistor: 39k, from: b, to: gnd }\n  C1: { capacitor: 2u2, from: in, to: b }\n  Q1: { npn: q, collector: vcc, base: b, emitter: out }\n  R3: { resistor: 470, from: out, to: gnd }\n${DRIVE}`,
  );
  const linear = new LinearKernel(stage.kernel, stage.x);
  stage.kernel.evaluate(stage.x, null, true);
  const restCharge = Float64Array.from(stage.kernel.q);
  it('is at rest at the solution, without residual or charge', () => {
    expect(linear.evaluate(stage.x)).toBe(false);
    expect(Math.max(...linear.f.map(Math.abs), ...linear.q.map(Math.abs))).toBe(0);
  });
  it('answers a small change as the stage itself does, and a large one in proportion', () => {
    const moved = (size: number): Float64Array => stage.x.map((v, i) => v + size * Math.cos(i));
    linear.evaluate(moved(1e-5));
    const small = Float64Array.from(linear.f);
    stage.kernel.evaluate(moved(1e-5), null, true);
    const base = Math.max(...small.map(Math.abs));
    for (let i = 0; i < small.length; i++) expect(Math.abs(stage.kernel.f[i] - small[i])).toBeLessThan(1e-3 * base);
    for (let i = 0; i < small.length; i++) expect(Math.abs(stage.kernel.q[i] - restCharge[i] - linear.q[i])).toBeLessThan(1e-15);
    linear.evaluate(moved(10));
    for (let i = 0; i < small.length; i++) expect(Math.abs(linear.f[i] - 1e6 * small[i])).toBeLessThan(1e-8 * 1e6 * base);
  });
  it('takes a change of the generator into its branch alone', () => {
    const row = stage.network.nodes.length + stage.network.generator;
    linear.emf[stage.network.generator] += 0.25;
    linear.evaluate(stage.x);
    linear.f.forEach((f, i) => {
      expect(f).toBe(i === row ? -0.25 : 0);
    });
    linear.emf[stage.network.generator] -= 0.25;
  });
  it('refuses temperatures, values and devices of its own', () => {
    expect(() => linear.setTemperatures()).toThrow(/linearised/);
    expect(() => linear.loadValues()).toThrow(/linearised/);
    expect(() => linear.addDevice()).toThrow(/linearised/);
    expect(linear.withinModel()).toBe(true);
  });
});
