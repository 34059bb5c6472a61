/**
 * The ledger's rules against closed forms: what a rule gives must be the closed form itself where both are the same
 * formula, and lie within what the pencil rounds (26 mV for kT/q = 25.69 mV, 1.2 %; beta for beta + 1, below 1 %) elsewhere.
 */
import { describe, it } from 'vitest';
import type { LedgerEntry } from '../../src/answers/types.ts';
import { close, INFINITE_BETA, ideal, impedance, junctionVoltage, outside, parallel, quiescent, swing } from './support.ts';

function rule(ledger: LedgerEntry[], quantity: string): number {
  const entry = ledger.find((one) => one.quantity === quantity);
  if (!entry) throw new Error(`the ledger has no line "${quantity}": ${ledger.map((one) => one.quantity).join(', ')}`);
  return entry.rule.value;
}

const SATURATION = 1e-14;
/** What 26 mV and beta round away. */
const PENCIL = 0.02;

describe('the rules of the ledger', () => {
  // Source: Ebers & Moll, Proc. IRE 42:1761-1772 (1954) for the node equation; the divider itself is Thevenin's theorem.
  it('C7: the base voltage of a divider is its open-circuit voltage, and R_th I_B is what the base current takes', () => {
    const { ledger, nodes, parts } = quiescent({
      supplies: { vcc: 14 },
      devices: { q: { npn: ideal(2e-14, 150) } },
      parts: {
        R1: { resistor: 68000, from: 'vcc', to: 'b' },
        R2: { resistor: 27000, from: 'b', to: 'gnd' },
        Q1: { npn: 'q', collector: 'vcc', base: 'b', emitter: 'e' },
        RE: { resistor: 1200, from: 'e', to: 'gnd' },
      },
    });
    close(rule(ledger, 'base voltage of Q1'), outside('C7', 'V_th'), 1e-9, 0, 'V_th');
    close(rule(ledger, 'emitter voltage of Q1'), outside('C7', 'V_th') - 0.65, 1e-9, 0, 'V_th less 0.65 V');
    close(rule(ledger, 'standing current of Q1'), (outside('C7', 'V_th') - 0.65) / 1200, 1e-9, 0, 'V_E/R_E');
    const { baseCurrent } = parts.Q1 as { baseCurrent: number };
    close(outside('C7', 'V_th') - outside('C7', 'R_th') * baseCurrent, nodes.b!, 1e-9, 0, 'V_B');
  });

  // Source: as C7, with a divider ten times as high, so that the rule misses by more than a tenth.
  it('C7: what a tenfold divider leaves out is R_th I_B, to the digit', () => {
    const { ledger, parts } = quiescent({
      supplies: { vcc: 14 },
      devices: { q: { npn: ideal(2e-14, 150) } },
      parts: {
        R1: { resistor: 680000, from: 'vcc', to: 'b' },
        R2: { resistor: 270000, from: 'b', to: 'gnd' },
        Q1: { npn: 'q', collector: 'vcc', base: 'b', emitter: 'e' },
        RE: { resistor: 1200, from: 'e', to: 'gnd' },
      },
    });
    const { baseCurrent } = parts.Q1 as { baseCurrent: number };
    const omitted = ledger.find((entry) => entry.quantity === 'base voltage of Q1')?.omitted ?? [];
    close(omitted.length, 1, 0, 0, 'number of terms');
    close(omitted[0]?.value, -10 * outside('C7', 'R_th') * baseCurrent, 1e-9, 0, 'R_th I_B');
  });

  // Source: Gray, Hurst, Lewis & Meyer, 5th ed. 3.3.6; Sedra & Smith, Microelectronic Circuits, 6th ed. ch. 6: from memory.
  it('D2: gain, input and output impedance of a follower', () => {
    const collector = 0.0022;
    const base = collector * (181 / 180) * parallel(1500, 600) + junctionVoltage(collector, SATURATION);
    const { ledger } = impedance({
      supplies: { vcc: 12 },
      devices: { q: { npn: ideal(SATURATION, 180) } },
      parts: { Q1: { npn: 'q', collector: 'vcc', base: 'in', emitter: 'out' }, RE: { resistor: 1500, from: 'out', to: 'gnd' } },
      drive: { node: 'in', sourceResistance: 4700, waveform: 'none', offset: base + (collector / 180) * 4700, frequency: 1000 },
      output: 'out',
      loads: { line: { resistor: 600 } },
    });
    close(rule(ledger, 'gain'), outside('D2', 'gain base to emitter'), 1e-3, 0, 'gain');
    close(rule(ledger, 'input impedance'), outside('D2', 'Z_in at base'), PENCIL, 0, 'Z_in');
    close(rule(ledger, 'output impedance'), outside('D2', 'Z_out at emitter, R_L removed'), PENCIL, 0, 'Z_out');
  });

  // Source: Gray, Hurst, Lewis & Meyer, 5th ed. 3.3.1; Sedra & Smith, Microelectronic Circuits, 6th ed. ch. 6: from memory.
  it('D4: gain and input impedance of a common emitter with its emitter at ground', () => {
    const collector = 0.0013;
    const onBase = junctionVoltage(collector, SATURATION);
    const { ledger } = impedance({
      supplies: { vcc: 15 },
      devices: { q: { npn: ideal(SATURATION, 140) } },
      parts: {
        R1: { resistor: 68000, from: 'in', to: 'gnd' },
        R2: { resistor: 15000, from: 'in', to: 'gnd' },
        Q1: { npn: 'q', collector: 'out', base: 'in', emitter: 'gnd' },
        RC: { resistor: 3900, from: 'vcc', to: 'out' },
      },
      drive: {
        node: 'in',
        sourceResistance: 600,
        waveform: 'none',
        offset: onBase + 600 * (collector / 140 + onBase / parallel(68000, 15000)),
        frequency: 1000,
      },
      output: 'out',
      loads: { next: { resistor: 10000 } },
    });
    close(rule(ledger, 'gain'), outside('D4', 'A_v base to collector, V_A infinite'), PENCIL, 0, 'A_v');
    close(rule(ledger, 'input impedance'), outside('D4', 'Z_in'), PENCIL, 0, 'Z_in');
  });

  // Source: first-order RC, any textbook.
  it('D8: the corner of 470 µF between 6 ohm and 16 ohm', () => {
    const { ledger } = impedance({
      supplies: { vcc: 9 },
      parts: { C1: { capacitor: 470e-6, from: 'in', to: 'out' } },
      drive: { node: 'in', sourceResistance: 6, waveform: 'sine', peak: 1, frequency: 1000 },
      output: 'out',
      loads: { speaker: { resistor: 16 } },
    });
    close(rule(ledger, 'low corner'), outside('D8', 'corner, 470 uF, 16 ohm load, 6 ohm stage'), 1e-9, 0, 'corner');
  });

  // Source: derived (check D12) from the model of Kozikowski, IEEE Trans. Circuit Theory 11 (1964).
  it('D12: the frequency at which a follower rings into 100 pF', () => {
    const [current, beta, source] = [0.004, 150, 1800];
    const { ledger } = impedance({
      supplies: { vcc: 12 },
      devices: { q: { npn: ideal(SATURATION, beta, { forwardTransitTime: 1 / (2 * Math.PI * 2e8) }) } },
      parts: {
        Q1: { npn: 'q', collector: 'vcc', base: 'in', emitter: 'out' },
        I1: { current: (current * (beta + 1)) / beta, from: 'out', to: 'gnd' },
      },
      drive: { node: 'in', sourceResistance: source, waveform: 'none', offset: 5 + (current / beta) * source, frequency: 1000 },
      output: 'out',
      loads: { cable: { capacitor: 100e-12 } },
    });
    const entry = ledger.find((one) => one.quantity === 'undamped frequency of the ringing');
    close(entry?.computed, outside('D12', 'f0 at 100 pF'), 1e-6, 0, 'f0 of the poles');
    close(entry?.rule.value, outside('D12', 'f0 at 100 pF'), PENCIL, 0, 'f0 of the rule');
  });

  // Source: load-line argument, any textbook (from memory).
  it('E14: the flat of a coupled follower is I_Q (R_E in parallel with R_L)', () => {
    const { ledger } = swing({
      supplies: { vcc: 14 },
      devices: { q: { npn: ideal(1e-15, INFINITE_BETA) } },
      parts: {
        Q1: { npn: 'q', collector: 'vcc', base: 'in', emitter: 'e' },
        RE: { resistor: 1500, from: 'e', to: 'gnd' },
        C2: { capacitor: 1e-3, from: 'e', to: 'out' },
      },
      drive: {
        node: 'in',
        sourceResistance: 10000,
        waveform: 'sine',
        peak: 1,
        offset: 6.5 + junctionVoltage(6.5 / 1500, 1e-15),
        frequency: 1000,
      },
      output: 'out',
      loads: { phones: { resistor: 220 } },
    });
    close(rule(ledger, 'flat at the bottom'), -outside('E14', 'V_peak limit'), 1e-6, 0, 'flat');
  });
});
