/** Exact solutions at rest: sections A and C of the outside checks, as sheets. */
import { describe, it } from 'vitest';
import {
  BOLTZMANN_OVER_CHARGE,
  close,
  INFINITE_BETA,
  ideal,
  impedance,
  junctionVoltage,
  outside,
  quiescent,
  transistor,
  twoTerminal,
} from './support.ts';

/** A transistor whose emitter current is set by a source, base at ground: the plainest V_BE. */
function forced(current: number, device: Record<string, number>, ambient: string): Parameters<typeof quiescent>[0] {
  return {
    ambient,
    supplies: { vcc: 5, vee: -5 },
    devices: { q: { npn: device } },
    parts: {
      Q1: { npn: 'q', collector: 'vcc', base: 'gnd', emitter: 'e' },
      I1: { current: current, from: 'e', to: 'vee' },
    },
  };
}

describe('thermal voltage', () => {
  // Source: SI Brochure, 9th ed. (2019), 2.2: k and e are exact.
  it('A3: collector current over transconductance is kT/q at 298.15, 300 and 293.15 K', () => {
    for (const [kelvin, quantity] of [
      [298.15, 'V_T(298.15 K)'],
      [300, 'V_T(300 K)'],
      [293.15, 'V_T(293.15 K)'],
    ] as const) {
      // A saturation current of 1e-18 A makes the -1 of the exponential 1e-15 of the current.
      const q = transistor(quiescent(forced(1e-3, ideal(1e-18, INFINITE_BETA), `${kelvin} K`)), 'Q1');
      // Row: 1e-12. The ratio is of two solved figures, hence 1e-10.
      close(q.collectorCurrent / q.transconductance, outside('A3', quantity), 1e-10, 0, quantity);
    }
  });

  // Source: the rules are common practice; the temperatures follow from SI Brochure, 9th ed., 2.2.
  it('A4: the 26 mV rule is exact at 301.717 K and the 25 mV rule at 290.113 K', () => {
    for (const [volts, quantity] of [
      [0.026, 'T for 26 mV'],
      [0.025, 'T for 25 mV'],
    ] as const) {
      const q = transistor(quiescent(forced(2e-3, ideal(1e-18, INFINITE_BETA), `${outside('A4', quantity)} K`)), 'Q1');
      close(q.collectorCurrent / q.transconductance, volts, 1e-9, 0, quantity);
    }
  });

  // Source: Ebers-Moll; Gray, Hurst, Lewis & Meyer, Analysis and Design of Analog Integrated Circuits, 5th ed. ch. 1, from memory.
  it('A5: V_BE grows by 59.159 mV a decade and 17.809 mV an octave of collector current at 25 °C', () => {
    const device = ideal(1e-15, INFINITE_BETA);
    const at = (amperes: number): number => transistor(quiescent(forced(amperes, device, '25 °C')), 'Q1').baseEmitterVoltage;
    // Row: 1e-9 of a difference of two voltages ten times as large that are solved to 1e-9 of the current each.
    close(at(1e-3) - at(1e-4), outside('A5', 'V_T ln 10'), 1e-8, 0, 'V_BE a decade');
    close(at(2e-4) - at(1e-4), outside('A5', 'V_T ln 2'), 1e-8, 0, 'V_BE an octave');
  });
});

describe('diode and resistor', () => {
  const sheet = (volts: number, ohms: number, diode: Record<string, number>): Parameters<typeof quiescent>[0] => ({
    supplies: { vcc: volts },
    devices: { d: { diode } },
    parts: { R1: { resistor: ohms, from: 'vcc', to: 'a' }, D1: { diode: 'd', anode: 'a', cathode: 'gnd' } },
  });
  // Source: Banwell & Jayakumar, Electronics Letters 36(4):291-292 (2000), doi 10.1049/el:20000301 (Lambert W).
  it.each([
    ['C1', 3.3, 470, 2e-9, 1.75],
    ['C2', 0.4, 470, 2e-9, 1.75],
  ] as const)(
    '%s: current and voltage of a diode fed with %f V through %f ohm equal the Lambert W form',
    (id, volts, ohms, saturationCurrent, ideality) => {
      const d = twoTerminal(quiescent(sheet(volts, ohms, { saturationCurrent, ideality })), 'D1');
      close(d.current, outside(id, 'I'), 1e-9, 0, 'I');
      close(d.voltage, outside(id, 'V_D'), 1e-9, 0, 'V_D');
    },
  );

  // Source: as C1; Wright omega: Lawrence, Corless & Jeffrey, Algorithm 917, ACM TOMS (2012), doi 10.1145/2168773.2168779.
  it('C3: a diode at 24 V, where a naive exponential overflows, carries 10.5857 mA', () => {
    const d = twoTerminal(quiescent(sheet(24, 2200, { saturationCurrent: 1e-14, ideality: 1 })), 'D1');
    close(d.current, outside('C3', 'I'), 1e-9, 0, 'I');
    close(d.voltage, outside('C3', 'V_D'), 1e-9, 0, 'V_D');
  });
});

describe('emitter followers at rest', () => {
  // Source of C4 to C7: Ebers & Moll, Proc. IRE 42:1761-1772 (1954); solution form as in Banwell, IEEE Trans. Circuits and Systems I 47(11):1621-1633 (2000).
  it('C4: a follower with its base at a fixed voltage', () => {
    const answer = quiescent({
      supplies: { vcc: 12, vb: 4.2 },
      devices: { q: { npn: ideal(1e-14, 180) } },
      parts: { Q1: { npn: 'q', collector: 'vcc', base: 'vb', emitter: 'e' }, R1: { resistor: 680, from: 'e', to: 'gnd' } },
    });
    const q = transistor(answer, 'Q1');
    close(q.emitterCurrent, outside('C4', 'I_E'), 1e-9, 0, 'I_E');
    close(q.collectorCurrent, outside('C4', 'I_C'), 1e-9, 0, 'I_C');
    close(q.baseCurrent, outside('C4', 'I_B'), 1e-9, 0, 'I_B');
    close(q.baseEmitterVoltage, outside('C4', 'V_BE'), 1e-9, 0, 'V_BE');
    close(answer.nodes.e, outside('C4', 'V_E'), 1e-9, 0, 'V_E');
  });

  it('C5: a follower whose base current flows through 33 kohm', () => {
    const answer = quiescent({
      supplies: { vcc: 12, vbb: 5.6 },
      devices: { q: { npn: ideal(2e-14, 150) } },
      parts: {
        RB: { resistor: 33000, from: 'vbb', to: 'b' },
        Q1: { npn: 'q', collector: 'vcc', base: 'b', emitter: 'e' },
        RE: { resistor: 1800, from: 'e', to: 'gnd' },
      },
    });
    const q = transistor(answer, 'Q1');
    close(q.emitterCurrent, outside('C5', 'I_E'), 1e-9, 0, 'I_E');
    close(q.collectorCurrent, outside('C5', 'I_C'), 1e-9, 0, 'I_C');
    // The reverse-biased collector junction adds I_S/beta_R, 1e-12 of I_B.
    close(q.baseCurrent, outside('C5', 'I_B'), 1e-9, 0, 'I_B');
    close(answer.nodes.b, outside('C5', 'V_B'), 1e-9, 0, 'V_B');
    close(answer.nodes.e, outside('C5', 'V_E'), 1e-9, 0, 'V_E');
    close(q.baseEmitterVoltage, outside('C5', 'V_BE'), 1e-9, 0, 'V_BE');
  });

  it('C6: a follower with its base at ground and a tail to a negative rail', () => {
    const answer = quiescent({
      supplies: { vcc: 7.5, vee: -7.5 },
      devices: { q: { npn: ideal(1e-14, 200) } },
      parts: { Q1: { npn: 'q', collector: 'vcc', base: 'gnd', emitter: 'e' }, RE: { resistor: 3300, from: 'e', to: 'vee' } },
    });
    close(transistor(answer, 'Q1').emitterCurrent, outside('C6', 'I_E'), 1e-9, 0, 'I_E');
    close(answer.nodes.e, outside('C6', 'V_E'), 1e-9, 0, 'V_E');
  });

  it('C7: a divider-biased follower with its base current, for three betas', () => {
    const at = (beta: number): ReturnType<typeof quiescent> =>
      quiescent({
        supplies: { vcc: 14 },
        devices: { q: { npn: ideal(2e-14, beta) } },
        parts: {
          R1: { resistor: 68000, from: 'vcc', to: 'b' },
          R2: { resistor: 27000, from: 'b', to: 'gnd' },
          Q1: { npn: 'q', collector: 'vcc', base: 'b', emitter: 'e' },
          RE: { resistor: 1200, from: 'e', to: 'gnd' },
        },
      });
    const answer = at(150);
    const q = transistor(answer, 'Q1');
    close(q.emitterCurrent, outside('C7', 'I_E'), 1e-9, 0, 'I_E');
    close(q.collectorCurrent, outside('C7', 'I_C'), 1e-9, 0, 'I_C');
    close(q.baseCurrent, outside('C7', 'I_B'), 1e-9, 0, 'I_B');
    close(answer.nodes.b, outside('C7', 'V_B'), 1e-9, 0, 'V_B');
    close(answer.nodes.e, outside('C7', 'V_E'), 1e-9, 0, 'V_E');
    close(q.baseEmitterVoltage, outside('C7', 'V_BE'), 1e-9, 0, 'V_BE');
    close(transistor(at(100), 'Q1').emitterCurrent, outside('C7', 'I_E at beta=100'), 1e-9, 0, 'I_E at beta 100');
    close(transistor(at(300), 'Q1').emitterCurrent, outside('C7', 'I_E at beta=300'), 1e-9, 0, 'I_E at beta 300');
  });

  // Source: derived from Ebers-Moll; total gain beta1 beta2 + beta1 + beta2: Sedra & Smith, Microelectronic Circuits, 6th ed., from memory.
  it('C13: a Darlington follower', () => {
    const answer = quiescent({
      supplies: { vcc: 15, vb: 9.6 },
      devices: { q1: { npn: ideal(1e-14, 160) }, q2: { npn: ideal(4e-13, 60) } },
      parts: {
        Q1: { npn: 'q1', collector: 'vcc', base: 'vb', emitter: 'm' },
        Q2: { npn: 'q2', collector: 'vcc', base: 'm', emitter: 'e' },
        RE: { resistor: 220, from: 'e', to: 'gnd' },
      },
    });
    const q1 = transistor(answer, 'Q1');
    const q2 = transistor(answer, 'Q2');
    close(q2.emitterCurrent, outside('C13', 'I_E2'), 1e-9, 0, 'I_E2');
    close(q1.emitterCurrent, outside('C13', 'I_E1'), 1e-9, 0, 'I_E1');
    close(q1.baseCurrent, outside('C13', 'I_B1'), 1e-9, 0, 'I_B1');
    close(q1.baseEmitterVoltage, outside('C13', 'V_BE1'), 1e-9, 0, 'V_BE1');
    close(q2.baseEmitterVoltage, outside('C13', 'V_BE2'), 1e-9, 0, 'V_BE2');
    close(answer.nodes.e, outside('C13', 'V_E'), 1e-9, 0, 'V_E');
    // I_S1/beta_R of the first base and I_S2 (1 + 1/beta_R) of the second collector are 3e-12 and less of these currents.
    close((q1.collectorCurrent + q2.collectorCurrent) / q1.baseCurrent, outside('C13', 'beta total I_C/I_B'), 1e-8, 0, 'total beta');
  });
});

describe('multiplier, mirrors and feedback bias at rest', () => {
  // Source: derived from Ebers-Moll (method of Banwell, IEEE Trans. Circuits and Systems I 47(11), 2000).
  it('C8: a base-emitter multiplier with its base current: voltage, incremental resistance, change with current', () => {
    const sheet = (amperes: number): Parameters<typeof quiescent>[0] => ({
      supplies: { vcc: 12 },
      devices: { q: { npn: ideal(3e-14, 120) } },
      parts: {
        I1: { current: amperes, from: 'vcc', to: 'top' },
        Q1: { npn: 'q', collector: 'top', base: 'tap', emitter: 'gnd' },
        R1: { resistor: 2700, from: 'top', to: 'tap' },
        R2: { resistor: 1800, from: 'tap', to: 'gnd' },
        // The generator stands apart: only the output's own impedance is asked for.
        R3: { resistor: 1000, from: 'apart', to: 'gnd' },
      },
      drive: { node: 'apart', sourceResistance: 50, waveform: 'none', frequency: 1000 },
      output: 'top',
    });
    const answer = quiescent(sheet(0.005));
    const q = transistor(answer, 'Q1');
    close(q.collectorCurrent, outside('C8', 'I_C'), 1e-9, 0, 'I_C');
    close(q.baseEmitterVoltage, outside('C8', 'V_BE'), 1e-9, 0, 'V_BE');
    close(answer.nodes.top, outside('C8', 'V'), 1e-9, 0, 'V');
    close(quiescent(sheet(0.002)).nodes.top, outside('C8', 'V at 2 mA'), 1e-9, 0, 'V at 2 mA');
    close(quiescent(sheet(0.01)).nodes.top, outside('C8', 'V at 10 mA'), 1e-9, 0, 'V at 10 mA');
    // The saturation current's -1, 6e-12 of the current, is not in the hybrid-pi form.
    close(impedance(sheet(0.005)).outputImpedance.magnitude, outside('C8', 'r = dV/dI'), 1e-8, 0, 'dV/dI');
  });

  // Source: Gray, Hurst, Lewis & Meyer, 5th ed. ch. 4, from memory.
  it('C9: base-current error of the simple, the helped and the three-transistor mirror', () => {
    const reference = 1e-3;
    const share = (beta: number, parts: Record<string, unknown>, output: string): number =>
      transistor(
        quiescent({
          supplies: { vcc: 5 },
          devices: { q: { npn: ideal(1e-16, beta) } },
          parts: { I1: { current: reference, from: 'vcc', to: 'ref' }, ...parts },
        }),
        output,
      ).collectorCurrent / reference;
    const simple = {
      Q1: { npn: 'q', collector: 'ref', base: 'ref', emitter: 'gnd' },
      Q2: { npn: 'q', collector: 'vcc', base: 'ref', emitter: 'gnd' },
    };
    const helped = {
      Q1: { npn: 'q', collector: 'ref', base: 'line', emitter: 'gnd' },
      Q2: { npn: 'q', collector: 'vcc', base: 'line', emitter: 'gnd' },
      Q3: { npn: 'q', collector: 'vcc', base: 'ref', emitter: 'line' },
    };
    const three = {
      Q1: { npn: 'q', collector: 'ref', base: 'line', emitter: 'gnd' },
      Q2: { npn: 'q', collector: 'line', base: 'line', emitter: 'gnd' },
      Q3: { npn: 'q', collector: 'vcc', base: 'ref', emitter: 'line' },
    };
    close(share(40, simple, 'Q2'), outside('C9', 'simple, beta=40'), 1e-9, 0, 'simple 40');
    close(share(120, simple, 'Q2'), outside('C9', 'simple, beta=120'), 1e-9, 0, 'simple 120');
    close(share(40, helped, 'Q2'), outside('C9', 'with follower helper, beta=40'), 1e-9, 0, 'helped 40');
    close(share(40, three, 'Q3'), outside('C9', 'three-transistor feedback (Wilson), beta=40'), 1e-9, 0, 'three 40');
    close(share(120, three, 'Q3'), outside('C9', 'three-transistor feedback (Wilson), beta=120'), 1e-9, 0, 'three 120');
  });

  // Source: Ebers & Moll (1954), solution form as in Banwell (2000).
  it('C10: a mirror whose reference is a resistor', () => {
    const answer = quiescent({
      supplies: { vcc: 15 },
      devices: { q: { npn: ideal(5e-15, 120) } },
      parts: {
        R1: { resistor: 22000, from: 'vcc', to: 'ref' },
        Q1: { npn: 'q', collector: 'ref', base: 'ref', emitter: 'gnd' },
        Q2: { npn: 'q', collector: 'vcc', base: 'ref', emitter: 'gnd' },
      },
    });
    close(transistor(answer, 'Q2').collectorCurrent, outside('C10', 'I_O'), 1e-9, 0, 'I_O');
    close(twoTerminal(answer, 'R1').current, outside('C10', 'I_REF'), 1e-9, 0, 'I_REF');
    close(answer.nodes.ref, outside('C10', 'V_BE'), 1e-9, 0, 'V_BE');
  });

  const degenerated = (reference: number, ohms: number, ambient: string): number =>
    transistor(
      quiescent({
        ambient,
        supplies: { vcc: 5 },
        devices: { q: { npn: ideal(1e-18, INFINITE_BETA) } },
        parts: {
          I1: { current: reference, from: 'vcc', to: 'ref' },
          Q1: { npn: 'q', collector: 'ref', base: 'ref', emitter: 'gnd' },
          Q2: { npn: 'q', collector: 'vcc', base: 'ref', emitter: 'e' },
          R1: { resistor: ohms, from: 'e', to: 'gnd' },
        },
      }),
      'Q2',
    ).collectorCurrent;
  // Source: derived; the circuit in Gray, Hurst, Lewis & Meyer, 5th ed. 4.4, from memory.
  it('C11: a degenerated current source obeys I = (V_T/R) W(I_REF R/V_T)', () => {
    close(degenerated(0.0008, 4700, '25 °C'), outside('C11', 'I_O'), 1e-9, 0, 'I_O');
  });
  // Source: printed examples in Gray, Hurst, Lewis & Meyer 4.4.1 and Sedra & Smith, both from memory (27.4k and 11.5k).
  // The books fix V_T at 26 and 25 mV: the ambient is set where kT/q is that (A4), which holds the row to 1e-9 rather than 1 %.
  it('C12: two textbook designs of a degenerated source give the wanted 5 uA and 10 uA', () => {
    close(degenerated(0.001, outside('C12', 'R at 26 mV, 5 uA'), `${0.026 / BOLTZMANN_OVER_CHARGE} K`), 5e-6, 1e-9, 0, '5 uA');
    close(degenerated(0.001, outside('C12', 'R at 25 mV, 10 uA'), `${0.025 / BOLTZMANN_OVER_CHARGE} K`), 1e-5, 1e-9, 0, '10 uA');
  });

  // Source: Banwell, IEEE Trans. Circuits and Systems I 47(11):1621-1633 (2000).
  it('C14: a common emitter biased by feedback from its collector', () => {
    const answer = quiescent({
      supplies: { vcc: 6 },
      devices: { q: { npn: ideal(1e-14, 110) } },
      parts: {
        RC: { resistor: 1500, from: 'vcc', to: 'c' },
        RF: { resistor: 180000, from: 'c', to: 'b' },
        Q1: { npn: 'q', collector: 'c', base: 'b', emitter: 'gnd' },
      },
    });
    const q = transistor(answer, 'Q1');
    close(q.collectorCurrent, outside('C14', 'I_C'), 1e-9, 0, 'I_C');
    close(q.baseEmitterVoltage, outside('C14', 'V_BE'), 1e-9, 0, 'V_BE');
    close(answer.nodes.c, outside('C14', 'V_C'), 1e-9, 0, 'V_C');
  });

  // Source: Ebers & Moll (1954); Sedra & Smith, Microelectronic Circuits, 6th ed. ch. 6, from memory.
  it('C15: saturation voltage of an overdriven transistor, and its offset with an open collector', () => {
    const device = { saturationCurrent: 1e-14, forwardBeta: 150, reverseBeta: 3 };
    const loaded = transistor(
      quiescent({
        supplies: { vcc: 5 },
        devices: { q: { npn: device } },
        parts: {
          IC: { current: 0.012, from: 'vcc', to: 'c' },
          IB: { current: 0.0012, from: 'vcc', to: 'b' },
          Q1: { npn: 'q', collector: 'c', base: 'b', emitter: 'gnd' },
        },
      }),
      'Q1',
    );
    close(loaded.collectorEmitterVoltage, outside('C15', 'V_CE(sat)'), 1e-8, 0, 'V_CE(sat)');
    close(loaded.baseEmitterVoltage, outside('C15', 'V_BE'), 1e-8, 0, 'V_BE');
    const open = transistor(
      quiescent({
        supplies: { vcc: 5 },
        devices: { q: { npn: device } },
        parts: {
          IB: { current: 0.0012, from: 'vcc', to: 'b' },
          Q1: { npn: 'q', collector: 'c', base: 'b', emitter: 'gnd' },
          C1: { capacitor: 1e-9, from: 'c', to: 'gnd' },
        },
      }),
      'Q1',
    );
    close(open.collectorEmitterVoltage, outside('C15', 'V_CE at I_C=0, V_T ln(1/alpha_R)'), 1e-8, 0, 'V_CE at I_C = 0');
  });

  // Source: Sedra & Smith, Microelectronic Circuits, 6th ed. ch. 11 (class AB), from memory.
  it('C16: a class-AB pair with a fixed 2 V_BE bias shares 20 mA by the translinear product', () => {
    const half = junctionVoltage(0.003, 1e-15);
    const answer = quiescent({
      supplies: { vpos: 10, vneg: -10 },
      devices: { n: { npn: ideal(1e-15, INFINITE_BETA) }, p: { pnp: ideal(1e-15, INFINITE_BETA) } },
      parts: {
        V1: { voltage: 2 * half, from: 'b1', to: 'b2' },
        V2: { voltage: 1, from: 'b2', to: 'gnd' },
        Q1: { npn: 'n', collector: 'vpos', base: 'b1', emitter: 'out' },
        Q2: { pnp: 'p', collector: 'vneg', base: 'b2', emitter: 'out' },
        I1: { current: 0.02, from: 'out', to: 'vneg' },
      },
    });
    const up = transistor(answer, 'Q1').collectorCurrent;
    const down = transistor(answer, 'Q2').collectorCurrent;
    close(up, outside('C16', 'i_N'), 1e-9, 0, 'i_N');
    close(down, outside('C16', 'i_P'), 1e-8, 0, 'i_P (a small difference of large currents)');
    close((up * down) / 0.003 ** 2, outside('C16', 'i_N i_P / I_Q^2'), 1e-8, 0, 'product');
  });

  // Source: derived from node equations; idea in Horowitz & Hill, The Art of Electronics, 3rd ed., ch. 2, from memory.
  it('C17: a bootstrapped follower shows 119.6 kohm, and 47.5 kohm without the bootstrap', () => {
    // Bias for I_C = 3 mA, worked upwards from the emitter.
    const collector = 0.003;
    const saturation = 1e-15;
    const base = collector / 160;
    const tap = (collector + base) * 1200 + junctionVoltage(collector, saturation) + base * 39000;
    const supply = tap + (tap / 68000 + base) * 82000;
    const sheet = (bootstrapped: boolean): Parameters<typeof impedance>[0] => ({
      supplies: { vcc: supply },
      devices: { q: { npn: ideal(saturation, 160) } },
      parts: {
        R1: { resistor: 82000, from: 'vcc', to: 'tap' },
        R2: { resistor: 68000, from: 'tap', to: 'gnd' },
        R3: { resistor: 39000, from: 'tap', to: 'b' },
        Q1: { npn: 'q', collector: 'vcc', base: 'b', emitter: 'e' },
        RE: { resistor: 1200, from: 'e', to: 'gnd' },
        // One farad at 100 kHz stands for an infinite capacitor: 1.6 uohm.
        C1: { capacitor: 1, from: 'in', to: 'b' },
        C2: { capacitor: 1, from: 'e', to: 'out' },
        ...(bootstrapped ? { C3: { capacitor: 1, from: 'e', to: 'tap' } } : {}),
      },
      drive: { node: 'in', sourceResistance: 600, waveform: 'none', frequency: 1e5 },
      output: 'out',
      loads: { line: { resistor: 2200 } },
    });
    const answer = impedance(sheet(true));
    close(answer.gain.magnitude, outside('C17', 'A'), 1e-8, 0, 'A');
    close(answer.inputImpedance.magnitude, outside('C17', 'Z_in'), 1e-7, 0, 'Z_in');
    close(impedance(sheet(false)).inputImpedance.magnitude, outside('C17', 'Z_in without bootstrap'), 1e-7, 0, 'Z_in without bootstrap');
  });
});
