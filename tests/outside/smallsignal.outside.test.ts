/** Small-signal figures and frequency: section D of the outside checks, as sheets. */
import { describe, expect, it } from 'vitest';
import {
  type Complex,
  close,
  complex,
  denominator,
  INFINITE_BETA,
  ideal,
  impedance,
  junctionVoltage,
  outside,
  parallel,
  quiescent,
  type SheetObject,
  THERMAL_VOLTAGE,
  transistor,
  waveform,
} from './support.ts';

const SATURATION = 1e-16;

describe('single stages in mid-band', () => {
  // Source: Gray, Hurst, Lewis & Meyer, Analysis and Design of Analog Integrated Circuits, 5th ed. 1.4, from memory.
  it('D1: hybrid-pi parameters at 2.2 mA', () => {
    const beta = 180;
    const sheet: Partial<SheetObject> = {
      supplies: { vcc: 5, vee: -5 },
      devices: { q: { npn: ideal(SATURATION, beta) } },
      parts: {
        Q1: { npn: 'q', collector: 'vcc', base: 'gnd', emitter: 'e' },
        I1: { current: (0.0022 * (beta + 1)) / beta, from: 'e', to: 'vee' },
      },
    };
    const q = transistor(quiescent(sheet), 'Q1');
    close(q.collectorCurrent, 0.0022, 1e-9, 0, 'I_C');
    close(q.transconductance, outside('D1', 'g_m'), 1e-8, 0, 'g_m');
    close(1 / q.transconductance, outside('D1', '1/g_m'), 1e-8, 0, '1/g_m');
    close(q.emitterResistance, outside('D1', 'r_e=V_T/I_E'), 1e-8, 0, 'r_e');
    close(q.beta! / q.transconductance, outside('D1', 'r_pi'), 1e-8, 0, 'r_pi');
    // Output resistance: base held, output at the collector. Early voltage acts on V_BC in the transport model, so that
    // r_o = V_A/I_C holds where V_BC = 0 at the operating point.
    const held = junctionVoltage(0.0022, SATURATION);
    const collector = impedance({
      supplies: { vb: held },
      devices: { q: { npn: ideal(SATURATION, beta, { earlyVoltage: 80 }) } },
      parts: {
        Q1: { npn: 'q', collector: 'c', base: 'vb', emitter: 'gnd' },
        I1: { current: 0.0022, from: 'gnd', to: 'c' },
        R1: { resistor: 1000, from: 'apart', to: 'gnd' },
      },
      drive: { node: 'apart', waveform: 'none', frequency: 1000 },
      output: 'c',
    });
    // The collector junction at 0 V conducts with I_S/(beta_R V_T) = 4e-18 S, nothing beside 1/r_o.
    close(collector.outputImpedance.magnitude, outside('D1', 'r_o=V_A/I_C'), 1e-6, 0, 'r_o');
  });

  const follower = (early: number | undefined): Partial<SheetObject> => {
    const collector = 0.0022;
    const emitter = collector * (181 / 180);
    // The load is coupled directly: R_E and R_L carry the standing current together.
    const base = emitter * parallel(1500, 600) + junctionVoltage(collector, SATURATION);
    return {
      // With Early voltage the collector stands at the base's voltage, where I_C is what the exponential alone gives.
      supplies: { vcc: early === undefined ? 12 : base },
      devices: { q: { npn: ideal(SATURATION, 180, early === undefined ? {} : { earlyVoltage: early }) } },
      parts: { Q1: { npn: 'q', collector: 'vcc', base: 'in', emitter: 'out' }, RE: { resistor: 1500, from: 'out', to: 'gnd' } },
      drive: { node: 'in', sourceResistance: 4700, waveform: 'none', offset: base + (collector / 180) * 4700, frequency: 1000 },
      output: 'out',
      loads: { line: { resistor: 600 } },
    };
  };
  // Source: Gray, Hurst, Lewis & Meyer, 5th ed. 3.3.6; Sedra & Smith, Microelectronic Circuits, 6th ed. ch. 6: from memory.
  it('D2: input and output impedance and gains of a common collector', () => {
    const answer = impedance(follower(undefined));
    close(answer.inputImpedance.magnitude, outside('D2', 'Z_in at base'), 1e-8, 0, 'Z_in');
    close(answer.outputImpedance.magnitude, outside('D2', 'Z_out at emitter, R_L removed'), 1e-8, 0, 'Z_out');
    close(answer.gain.magnitude, outside('D2', 'gain base to emitter'), 1e-8, 0, 'gain');
    close(answer.overallGain.magnitude, outside('D2', 'gain source to emitter'), 1e-8, 0, 'overall gain');
  });

  // Source: Gray, Hurst, Lewis & Meyer, 5th ed., from memory.
  it('D3: the same with the output resistance of the device', () => {
    const answer = impedance(follower(80));
    // The hybrid-pi of the row has g_m = I_C/V_T; in the transport model the Early effect follows V_BC, which makes it
    // I_C/V_T - 1/r_o, 3.2e-4 less. Hence 5e-4 for the row, and 1e-8 for the row's own formula with that g_m.
    close(answer.inputImpedance.magnitude, outside('D3', 'Z_in'), 5e-4, 0, 'Z_in');
    close(answer.overallGain.magnitude, outside('D3', 'gain source to emitter'), 5e-4, 0, 'overall gain');
    close(answer.outputImpedance.magnitude, outside('D3', 'Z_out'), 5e-4, 0, 'Z_out');
    const inputResistance = (180 * THERMAL_VOLTAGE) / 0.0022;
    const outputResistance = 80 / 0.0022;
    const beta = (0.0022 / THERMAL_VOLTAGE - 1 / outputResistance) * inputResistance;
    const load = parallel(1500, 600, outputResistance);
    const input = inputResistance + (beta + 1) * load;
    close(answer.inputImpedance.magnitude, input, 1e-7, 0, 'Z_in with the model g_m');
    close(answer.overallGain.magnitude, ((beta + 1) * load) / (input + 4700), 1e-7, 0, 'overall gain with the model g_m');
    close(
      answer.outputImpedance.magnitude,
      parallel(1500, outputResistance, (inputResistance + 4700) / (beta + 1)),
      1e-7,
      0,
      'Z_out with the model g_m',
    );
  });

  /** Common emitter at 1.3 mA with beta 140; caps of a farad at 100 kHz are short to 2 uohm. */
  const emitterStage = (emitterOhms: number, source: number, load: number): Partial<SheetObject> => {
    const collector = 0.0013;
    const emitterCurrent = collector * (141 / 140);
    const base = emitterCurrent * emitterOhms + junctionVoltage(collector, SATURATION);
    return {
      supplies: { vcc: 12 },
      devices: { q: { npn: ideal(SATURATION, 140) } },
      parts: {
        Q1: { npn: 'q', collector: 'c', base: 'in', emitter: emitterOhms === 0 ? 'gnd' : 'e' },
        ...(emitterOhms === 0 ? {} : { RE: { resistor: emitterOhms, from: 'e', to: 'gnd' } }),
        RC: { resistor: 3900, from: 'vcc', to: 'c' },
        C2: { capacitor: 1, from: 'c', to: 'out' },
      },
      drive: { node: 'in', sourceResistance: source, waveform: 'none', offset: base + (collector / 140) * source, frequency: 1e5 },
      output: 'out',
      loads: { line: { resistor: load } },
    };
  };
  // Source: Gray, Hurst, Lewis & Meyer, 5th ed. 3.3.1; Sedra & Smith, 6th ed. ch. 6: from memory.
  it('D4: gain of a common emitter with its emitter at ground is -g_m (R_C in parallel with R_L)', () => {
    const answer = impedance(emitterStage(0, 600, 10000));
    close(complex(answer.gain).re, outside('D4', 'A_v base to collector, V_A infinite'), 1e-7, 0, 'A_v');
    // The row's Z_in has the divider beside the base: 68k and 15k.
    close(parallel(answer.inputImpedance.magnitude!, 68000, 15000), outside('D4', 'Z_in'), 1e-7, 0, 'Z_in');
  });

  // Source: Gray, Hurst, Lewis & Meyer, 5th ed. 3.3.8 (emitter degeneration), from memory; exact form derived.
  it('D5: gain and input resistance of a common emitter with 120 ohm of degeneration', () => {
    const answer = impedance(emitterStage(120, 600, 10000));
    close(complex(answer.gain).re, outside('D5', 'A_v, V_A infinite'), 1e-7, 0, 'A_v');
    close(answer.inputImpedance.magnitude, outside('D5', 'Z_in, V_A infinite'), 1e-7, 0, 'Z_in');
  });

  // Source: Gray, Hurst, Lewis & Meyer, 5th ed. 3.3.3, from memory.
  it('D6: a common base shows (r_pi + R_B)/(beta + 1) at its emitter', () => {
    for (const [ohms, quantity] of [
      [0, 'base at ac ground'],
      [2200, '2200 ohm in the base'],
    ] as const) {
      const emitter = 0.0013 * (141 / 140);
      const answer = impedance({
        supplies: { vcc: 5, vee: -5 },
        devices: { q: { npn: ideal(SATURATION, 140) } },
        parts: {
          Q1: { npn: 'q', collector: 'c', base: ohms === 0 ? 'gnd' : 'b', emitter: 'e' },
          ...(ohms === 0 ? {} : { RB: { resistor: ohms, from: 'b', to: 'gnd' } }),
          I1: { current: emitter, from: 'e', to: 'vee' },
          RC: { resistor: 1000, from: 'vcc', to: 'c' },
          C1: { capacitor: 1, from: 'in', to: 'e' },
        },
        drive: { node: 'in', waveform: 'none', frequency: 1e5 },
        output: 'c',
      });
      close(answer.inputImpedance.magnitude, outside('D6', quantity), 1e-7, 0, quantity);
    }
  });
});

describe('corners', () => {
  /** A high-pass before and one after an ideal follower, which keeps them apart. */
  const twoCorners = (first: number, second: number): Partial<SheetObject> => {
    const tail = 0.01;
    return {
      supplies: { vcc: 6, vee: -6 },
      devices: { q: { npn: ideal(SATURATION, INFINITE_BETA) } },
      parts: {
        C1: { capacitor: 1 / (2 * Math.PI * first * 10000), from: 'in', to: 'b' },
        R1: { resistor: 10000, from: 'b', to: 'gnd' },
        Q1: { npn: 'q', collector: 'vcc', base: 'b', emitter: 'e' },
        I1: { current: tail, from: 'e', to: 'vee' },
        // The follower's own V_T/I is in series with the load.
        C2: { capacitor: 1 / (2 * Math.PI * second * (1000 + THERMAL_VOLTAGE / tail)), from: 'e', to: 'out' },
      },
      drive: { node: 'in', sourceResistance: 0, waveform: 'sine', peak: 1e-3, frequency: 1e6 },
      output: 'out',
      loads: { line: { resistor: 1000 } },
    };
  };
  // Source: derived; n equal stages: standard result, e.g. Millman & Halkias, Integrated Electronics, from memory.
  it('D7: two high-pass corners apart from each other give 15.538 Hz and 20.287 Hz together', () => {
    close(impedance(twoCorners(10, 10)).lowCorner, outside('D7', '10 and 10 Hz'), 1e-6, 0, '10 and 10 Hz');
    close(impedance(twoCorners(7, 18)).lowCorner, outside('D7', '7 and 18 Hz'), 1e-6, 0, '7 and 18 Hz');
  });

  // Source: first-order RC, any textbook.
  it('D8: a coupling capacitor into a low load: corner, and droop of a square wave', () => {
    const coupled = (farads: number, source: number, load: number, drive: Record<string, unknown>): Partial<SheetObject> => ({
      supplies: {},
      parts: { C1: { capacitor: farads, from: 'in', to: 'out' } },
      drive: { node: 'in', sourceResistance: source, ...drive },
      output: 'out',
      loads: { phones: { resistor: load } },
    });
    const none = { waveform: 'none', frequency: 1e6 };
    close(impedance(coupled(220e-6, 0, 32, none)).lowCorner, outside('D8', 'corner, 220 uF into 32 ohm'), 1e-6, 0, 'corner');
    close(impedance(coupled(470e-6, 6, 16, none)).lowCorner, outside('D8', 'corner, 470 uF, 16 ohm load, 6 ohm stage'), 1e-6, 0, 'corner');
    const square = waveform(coupled(1 / (2 * Math.PI * 1000), 0, 1000, { waveform: 'square', peak: 1, frequency: 50, riseTime: 1e-8 }), {
      samples: 4096,
    });
    // From just after the upward edge at t = 0 to just before the downward edge at T/2; both lie one sample inside, which
    // a first-order fall lets us take back exactly.
    const out = square.nodes.out!;
    const fall = out[2047]! / out[1]!;
    close(1 - fall ** (2048 / 2046), outside('D8', 'droop of a 50 Hz square wave, 1 Hz corner, half-cycle'), 5e-4, 0, 'droop');
  });

  // Source: J. M. Miller, Scientific Papers of the Bureau of Standards 15 (No. 351), 1920; Gray, Hurst, Lewis & Meyer, 5th ed. 7.2.1: from memory.
  it('D9: a common emitter at high frequency: exact corner, both poles, mid-band gain', () => {
    const collector = 0.0015;
    const base = junctionVoltage(collector, SATURATION);
    const answer = impedance(
      {
        supplies: { vcc: 10 },
        devices: { q: { npn: ideal(SATURATION, 150) } },
        parts: {
          Q1: { npn: 'q', collector: 'c', base: 'in', emitter: 'gnd' },
          RC: { resistor: 2700, from: 'vcc', to: 'c' },
          C1: { capacitor: 2.8e-11, from: 'in', to: 'gnd' },
          C2: { capacitor: 3.5e-12, from: 'in', to: 'c' },
        },
        drive: { node: 'in', sourceResistance: 820, waveform: 'sine', peak: 1e-4, offset: base + (collector / 150) * 820, frequency: 10 },
        output: 'c',
      },
      { from: 1e5, to: 1e9, points: 9 },
    );
    close(complex(answer.overallGain).re, outside('D9', 'midband gain'), 1e-6, 0, 'mid-band gain');
    close(answer.highCorner, outside('D9', 'exact -3 dB'), 1e-6, 0, '-3 dB');
    const samples = answer.curve.frequency.map((hertz, k) => ({
      omega: 2 * Math.PI * hertz,
      value: complex({ magnitude: answer.curve.overallGain.magnitude[k]!, phase: answer.curve.overallGain.phase[k]! }),
    }));
    // Poles at f1 and f2: with x = s/(2 pi 1e7) the denominator is 1 + a1 x + a2 x^2.
    const scale = 2 * Math.PI * 1e7;
    const [, a1, a2] = denominator(samples, 2, 1, scale) as [number, number, number];
    const root = Math.sqrt(a1 * a1 - 4 * a2);
    close((2 / (a1 + root)) * 1e7, outside('D9', 'exact pole 1'), 1e-6, 0, 'pole 1');
    close(((a1 + root) / (2 * a2)) * 1e7, outside('D9', 'exact pole 2'), 1e-5, 0, 'pole 2, far above the corner');
  });

  // Source: Gray, Hurst, Lewis & Meyer, 5th ed. 1.4.8, from memory; exact form derived.
  it('D10: short-circuit current gain of the device charges falls to 1 at 296.8 MHz', () => {
    const collector = 0.0015;
    const transconductance = collector / THERMAL_VOLTAGE;
    const base = junctionVoltage(collector, SATURATION);
    // C_pi is the device's own transit time, C_mu its depletion capacitance at the standing 5 V.
    const grading = 0.5;
    const potential = 0.7;
    const collectorVolts = 5;
    const device = ideal(SATURATION, 150, {
      forwardTransitTime: 2.8e-11 / transconductance,
      collectorJunctionCapacitance: 3.5e-12 * (1 + (collectorVolts - base) / potential) ** grading,
      collectorJunctionPotential: potential,
      collectorJunctionGrading: grading,
    });
    // A collector resistor of 1 uohm reads the short-circuit current.
    const sense = 1e-6;
    const unity = outside('D10', 'exact |h_fe|=1');
    const answer = impedance(
      {
        supplies: { vcc: collectorVolts },
        devices: { q: { npn: device } },
        parts: { Q1: { npn: 'q', collector: 'c', base: 'in', emitter: 'gnd' }, RC: { resistor: sense, from: 'vcc', to: 'c' } },
        drive: { node: 'in', sourceResistance: 1000, waveform: 'none', offset: base + (collector / 150) * 1000, frequency: 1e5 },
        output: 'c',
      },
      { frequency: unity },
    );
    close((answer.gain.magnitude! * answer.inputImpedance.magnitude!) / sense, 1, 1e-6, 0, '|h_fe| there');
  });
});

describe('a follower and a capacitor', () => {
  const COLLECTOR = 0.004;
  const BETA = 150;
  const TRANSCONDUCTANCE = COLLECTOR / THERMAL_VOLTAGE;
  const DIFFUSION = TRANSCONDUCTANCE / (2 * Math.PI * 2e8);
  /** C_pi is the device's transit time: at f_T = 200 MHz and no C_mu, 1/(2 pi f_T) (Kozikowski's beta(s)). */
  const ringing = (
    source: number,
    load: number | undefined,
    drive: Record<string, unknown> = { waveform: 'none', frequency: 1000 },
  ): Partial<SheetObject> => ({
    supplies: { vcc: 10, vee: -10 },
    devices: { q: { npn: ideal(SATURATION, BETA, { forwardTransitTime: 1 / (2 * Math.PI * 2e8) }) } },
    parts: {
      Q1: { npn: 'q', collector: 'vcc', base: 'in', emitter: 'out' },
      I1: { current: COLLECTOR * ((BETA + 1) / BETA), from: 'out', to: 'vee' },
      ...(load === undefined ? {} : { CL: { capacitor: load, from: 'out', to: 'gnd' } }),
    },
    drive: { node: 'in', sourceResistance: source, ...drive },
    output: 'out',
  });

  // Source: Kozikowski, IEEE Trans. Circuit Theory 11(1):129-136 (1964); Gray, Hurst, Lewis & Meyer, 5th ed. 7.2.3, from memory.
  it('D11: output impedance of a follower is inductive, 19.4 + j44.2 ohm at 5 MHz', () => {
    const z = complex(impedance(ringing(1800, undefined), { frequency: 5e6 }).outputImpedance);
    close(z.re, outside('D11', 'Re Z(5 MHz)'), 1e-7, 0, 'Re Z');
    close(z.im, outside('D11', 'Im Z(5 MHz)'), 1e-7, 0, 'Im Z');
    close(impedance(ringing(1800, undefined), { frequency: 1 }).outputImpedance.magnitude, outside('D11', 'R_a = Z(0)'), 1e-7, 0, 'Z(0)');
    close(
      impedance(ringing(1800, undefined), { frequency: 9e9 }).outputImpedance.magnitude,
      outside('D11', 'R_b = Z(infinity)'),
      1e-3,
      0,
      'Z far up',
    );
    const network = outside('D11', 'Re Z(5 MHz)') - outside('D11', 'R_a = Z(0)');
    expect(network, 'the inductance is lossy').toBeGreaterThan(0);
  });

  // Source: notes to section D of the outside checks (derived).
  it('D11: the sign of the reactance changes where the source resistance passes 1/g_m', () => {
    const edge = 1 / TRANSCONDUCTANCE;
    for (const frequency of [1e5, 1e7, 1e9]) {
      expect(complex(impedance(ringing(edge * 1.001, undefined), { frequency }).outputImpedance).im).toBeGreaterThan(0);
      expect(complex(impedance(ringing(edge * 0.999, undefined), { frequency }).outputImpedance).im).toBeLessThan(0);
    }
  });

  /** Damping and undamped frequency (Hz) of a two-pole gain, read from the impedance curve alone. */
  const twoPoles = (sheet: Partial<SheetObject>, near: number, zeros = 1): { damping: number; hertz: number } => {
    const answer = impedance(sheet, { from: near / 30, to: near * 30, points: 9 });
    const samples = answer.curve.frequency.map((hertz, k) => ({
      omega: 2 * Math.PI * hertz,
      value: complex({ magnitude: answer.curve.overallGain.magnitude[k]!, phase: answer.curve.overallGain.phase[k]! }),
    }));
    const [, a1, a2] = denominator(samples, 2, zeros, 2 * Math.PI * near) as [number, number, number];
    return { damping: a1 / (2 * Math.sqrt(a2)), hertz: near / Math.sqrt(a2) };
  };
  // Source: derived (Kozikowski 1964 model); poles fitted to the gain curve, as no question prints them yet.
  it('D12: a follower into a capacitor is critically damped at two capacitances and least damped between them', () => {
    const lower = twoPoles(ringing(1800, outside('D12', 'C_L lower edge (zeta=1)')), 4e8);
    close(lower.damping, 1, 1e-6, 0, 'zeta at the lower edge');
    const upper = twoPoles(ringing(1800, outside('D12', 'C_L upper edge (zeta=1)')), 1e6);
    close(upper.damping, 1, 1e-6, 0, 'zeta at the upper edge');
    const worst = twoPoles(ringing(1800, outside('D12', 'C_L worst = r_pi C_pi/(R_S+r_pi)')), 2e7);
    close(worst.damping, outside('D12', 'zeta at worst = 1/sqrt(K)'), 1e-6, 0, 'least zeta');
    close(worst.hertz, outside('D12', 'f0 at worst'), 1e-6, 0, 'f0 there');
    const hundred = twoPoles(ringing(1800, 1e-10), 1.3e7);
    close(hundred.damping, outside('D12', 'zeta at 100 pF'), 1e-6, 0, 'zeta at 100 pF');
    close(hundred.hertz, outside('D12', 'f0 at 100 pF'), 1e-6, 0, 'f0 at 100 pF');
  });

  // Source: derived; second-order step response, any control textbook.
  it('D13: a step through the follower into 100 pF overshoots by 70.8 % after 36.9 ns', () => {
    const step = 2e-3;
    const samples = 16384;
    const period = 4e-6;
    const answer = waveform(ringing(1800, 1e-10, { waveform: 'square', peakToPeak: step, frequency: 1 / period, riseTime: 1e-10 }), {
      samples,
    });
    // Half the difference of the upward and the downward response: the even curvature of the exponential drops out.
    const out = answer.nodes.out!;
    const response = Array.from({ length: samples / 2 }, (_, k) => (out[k]! - out[k + samples / 2]!) / 2 / step);
    // It goes from -1/2 to 1/2; the ringing has died out (e^-18) by the end of each half.
    const peak = Math.max(...response);
    const at = (response.indexOf(peak) * period) / samples;
    // Sampling every 0.24 ns near a flat top costs 1e-4 of it; the edge of 0.1 ns delays nothing that can be seen.
    close(peak - 0.5, outside('D13', 'overshoot'), 1e-3, 0, 'overshoot');
    close(at, outside('D13', 't of peak'), 0, period / samples, 'time of the peak');
  });

  // Source: derived (roots of the two-node determinant).
  it('D14: base resistance, C_mu and R_E raise the damping at 100 pF to 0.351', () => {
    const emitter = COLLECTOR * ((BETA + 1) / BETA);
    const base = emitter * 2700 + junctionVoltage(COLLECTOR, SATURATION);
    const { damping, hertz } = twoPoles(
      {
        supplies: { vcc: 20 },
        devices: { q: { npn: ideal(SATURATION, BETA) } },
        parts: {
          // r_b = 40 ohm is drawn as a resistor, so that C_pi and C_mu can be drawn behind it.
          RB: { resistor: 40, from: 'in', to: 'b' },
          C1: { capacitor: outside('D11', 'C_pi'), from: 'b', to: 'out' },
          C2: { capacitor: 3e-12, from: 'b', to: 'gnd' },
          Q1: { npn: 'q', collector: 'vcc', base: 'b', emitter: 'out' },
          RE: { resistor: 2700, from: 'out', to: 'gnd' },
          CL: { capacitor: 1e-10, from: 'out', to: 'gnd' },
        },
        drive: { node: 'in', sourceResistance: 1800, waveform: 'none', offset: base + (COLLECTOR / BETA) * 1840, frequency: 1000 },
        output: 'out',
      },
      1.3e7,
    );
    close(damping, outside('D14', 'zeta'), 1e-6, 0, 'zeta');
    close(hertz, outside('D14', 'f0'), 1e-6, 0, 'f0');
    close(DIFFUSION, outside('D11', 'C_pi'), 1e-9, 0, 'C_pi from f_T');
  });

  const stopped = (stopper: number): Partial<SheetObject> => ({
    supplies: { vcc: 10, vee: -10 },
    devices: { q: { npn: ideal(SATURATION, INFINITE_BETA) } },
    parts: {
      L1: { inductor: 5e-8, from: 'in', to: 'lead' },
      RB: { resistor: stopper, from: 'lead', to: 'b' },
      Q1: { npn: 'q', collector: 'vcc', base: 'b', emitter: 'out' },
      C1: { capacitor: 6e-11, from: 'b', to: 'out' },
      CL: { capacitor: 1e-10, from: 'out', to: 'gnd' },
      I1: { current: 0.005, from: 'out', to: 'vee' },
    },
    drive: { node: 'in', sourceResistance: 0, waveform: 'none', frequency: 1000 },
    output: 'out',
  });
  // Source: derived by Routh's criterion; the negative input resistance is the Colpitts condition, any textbook.
  it('D15: a base stopper of g_m L/(C_pi + C_L) is the edge of oscillation, at 116.2 MHz', () => {
    const edge = outside('D15', 'R_B critical');
    const hertz = outside('D15', 'frequency on the edge');
    // Three poles: 1 + a1 x + a2 x^2 + a3 x^3, on the imaginary axis where a1 a2 = a3 (Routh).
    const margin = (stopper: number): { routh: number; squared: number } => {
      const answer = impedance(stopped(stopper), { from: hertz / 20, to: hertz * 3, points: 9 });
      const samples = answer.curve.frequency.map((f, k) => ({
        omega: 2 * Math.PI * f,
        value: complex({ magnitude: answer.curve.overallGain.magnitude[k]!, phase: answer.curve.overallGain.phase[k]! }),
      }));
      const [, a1, a2, a3] = denominator(samples, 3, 1, 2 * Math.PI * hertz) as [number, number, number, number];
      return { routh: (a1 * a2) / a3 - 1, squared: a1 / a3 };
    };
    const onEdge = margin(edge);
    close(onEdge.routh, 0, 0, 1e-6, "Routh's margin on the edge");
    // On the edge the pair is at w^2 = a1/a3 = 1/a2, in units of the expected frequency.
    close(Math.sqrt(onEdge.squared), 1, 1e-6, 0, 'frequency on the edge');
    expect(margin(edge * 1.1).routh).toBeGreaterThan(0.05);
    expect(margin(edge * 0.9).routh).toBeLessThan(-0.05);
    // Taken at the device's own base, the input resistance there is what the stopper has to cover.
    const bare = stopped(1);
    delete bare.parts!.L1;
    delete bare.parts!.RB;
    bare.parts!.Q1 = { npn: 'q', collector: 'vcc', base: 'in', emitter: 'out' };
    bare.parts!.C1 = { capacitor: 6e-11, from: 'in', to: 'out' };
    const input: Complex = complex(impedance(bare, { frequency: hertz }).inputImpedance);
    close(input.re, outside('D15', 'Re Z_in of the follower there, -g_m/(w^2 C_pi C_L)'), 1e-6, 0, 'Re Z_in');
  });
});

describe('whole stages from bias to frequency response', () => {
  const follower: Partial<SheetObject> = {
    supplies: { vcc: 14 },
    devices: { q: { npn: ideal(2e-14, 150) } },
    parts: {
      C1: { capacitor: 2.2e-6, from: 'in', to: 'b' },
      R1: { resistor: 68000, from: 'vcc', to: 'b' },
      R2: { resistor: 27000, from: 'b', to: 'gnd' },
      Q1: { npn: 'q', collector: 'vcc', base: 'b', emitter: 'e' },
      RE: { resistor: 1200, from: 'e', to: 'gnd' },
      C2: { capacitor: 2.2e-4, from: 'e', to: 'out' },
    },
    // 1 MHz: mid-band to (6 Hz/1 MHz)^2.
    drive: { node: 'in', sourceResistance: 1500, waveform: 'sine', peak: 1e-3, frequency: 1e6 },
    output: 'out',
    loads: { line: { resistor: 330 } },
  };
  // Source: composition of C7, D2, E14.
  it('D16: one follower from divider to corner: bias, gains, impedances, the exact -3 dB point', () => {
    const q = transistor(quiescent(follower), 'Q1');
    // g_m is (I_S e^..)/V_T: the reverse-biased collector junction adds I_S, 8e-12 of I_C.
    close(q.transconductance, outside('D16', 'g_m'), 1e-9, 0, 'g_m');
    close(q.beta! / q.transconductance, outside('D16', 'r_pi'), 1e-9, 0, 'r_pi');
    const answer = impedance(follower);
    close(answer.inputImpedance.magnitude, outside('D16', 'Z_in incl. divider'), 1e-6, 0, 'Z_in');
    close(answer.outputImpedance.magnitude, outside('D16', 'Z_out'), 1e-6, 0, 'Z_out');
    close(answer.overallGain.magnitude, outside('D16', 'midband gain source to load'), 1e-6, 0, 'mid-band gain');
    close(answer.lowCorner, outside('D16', 'exact -3 dB'), 1e-6, 0, '-3 dB');
    const twenty = impedance(follower, { frequency: 20 }).overallGain;
    close(
      20 * Math.log10(twenty.magnitude! / answer.overallGain.magnitude!),
      outside('D16', 'gain at 20 Hz re midband'),
      1e-6,
      0,
      'gain at 20 Hz',
    );
    close(twenty.phase, outside('D16', 'phase at 20 Hz'), 1e-6, 0, 'phase at 20 Hz');
  });
  it('D16: with the other capacitor short, each coupling capacitor of that follower has its own corner', () => {
    const alone = (part: string): number | null => {
      const parts = structuredClone(follower.parts!) as Record<string, Record<string, unknown>>;
      parts[part]!.capacitor = 1000; // of some 10 uohm at these frequencies: short even when seen through beta
      return impedance({ ...follower, parts }).lowCorner;
    };
    close(alone('C2'), outside('D16', 'corner of C_in, C_out shorted'), 1e-5, 0, 'corner of C_in');
    close(alone('C1'), outside('D16', 'corner of C_out, C_in shorted'), 1e-5, 0, 'corner of C_out');
  });

  const gain: Partial<SheetObject> = {
    supplies: { vcc: 18 },
    devices: { q: { npn: ideal(1e-14, 200) } },
    parts: {
      C1: { capacitor: 4.7e-6, from: 'in', to: 'b' },
      R1: { resistor: 82000, from: 'vcc', to: 'b' },
      R2: { resistor: 15000, from: 'b', to: 'gnd' },
      Q1: { npn: 'q', collector: 'c', base: 'b', emitter: 'e' },
      RC: { resistor: 4700, from: 'vcc', to: 'c' },
      RE: { resistor: 82, from: 'e', to: 'foot' },
      RF: { resistor: 820, from: 'foot', to: 'gnd' },
      CE: { capacitor: 4.7e-4, from: 'foot', to: 'gnd' },
      C2: { capacitor: 1e-6, from: 'c', to: 'out' },
    },
    drive: { node: 'in', sourceResistance: 600, waveform: 'sine', peak: 1e-3, frequency: 1e6 },
    output: 'out',
    loads: { line: { resistor: 22000 } },
  };
  // Source: composition; bypass pole and zero: Sedra & Smith, Microelectronic Circuits, 6th ed. ch. 9, from memory.
  it('D17: one common-emitter stage with split emitter resistor and three capacitors, from bias to the exact -3 dB point', () => {
    const rest = quiescent(gain);
    const q = transistor(rest, 'Q1');
    close(q.emitterCurrent, outside('D17', 'I_E'), 1e-9, 0, 'I_E');
    close(q.collectorCurrent, outside('D17', 'I_C'), 1e-9, 0, 'I_C');
    close(rest.nodes.e, outside('D17', 'V_E'), 1e-9, 0, 'V_E');
    close(rest.nodes.c, outside('D17', 'V_C'), 1e-9, 0, 'V_C');
    const answer = impedance(gain);
    close(answer.inputImpedance.magnitude, outside('D17', 'Z_in'), 1e-6, 0, 'Z_in');
    close(complex(answer.overallGain).re, outside('D17', 'midband gain source to load'), 1e-6, 0, 'mid-band gain');
    close(answer.lowCorner, outside('D17', 'exact -3 dB'), 1e-6, 0, '-3 dB');
    close(impedance(gain, { frequency: 20 }).overallGain.magnitude, outside('D17', '|gain| at 20 Hz'), 1e-6, 0, 'gain at 20 Hz');
  });
});

describe('instruments as linear circuits', () => {
  // Source: 12 pF arithmetic is exact; that a probe is some 12 pF is common practice, no source.
  it('J10: 12 pF is 13263 ohm at 1 MHz and 1326.3 ohm at 10 MHz', () => {
    const probe: Partial<SheetObject> = {
      supplies: {},
      parts: { C1: { capacitor: 12e-12, from: 'in', to: 'gnd' }, R1: { resistor: 1e10, from: 'in', to: 'gnd' } },
      drive: { node: 'in', waveform: 'none', frequency: 1e6 },
      output: 'in',
    };
    close(impedance(probe).inputImpedance.magnitude, 13262.9, 1e-5, 0, 'at 1 MHz');
    close(impedance(probe, { frequency: 1e7 }).inputImpedance.magnitude, 1326.29, 1e-5, 0, 'at 10 MHz');
  });
  // Source: exact, 1/(2 pi R C).
  it('J11: 12 pF across a source of 620 ohm makes a corner at 21.392 MHz', () => {
    const sheet: Partial<SheetObject> = {
      supplies: {},
      parts: { C1: { capacitor: 12e-12, from: 'in', to: 'gnd' }, R1: { resistor: 1e12, from: 'in', to: 'gnd' } },
      drive: { node: 'in', sourceResistance: 620, waveform: 'none', frequency: 10 },
      output: 'in',
    };
    close(impedance(sheet).highCorner, 21.3918e6, 1e-5, 0, 'corner');
  });
});
