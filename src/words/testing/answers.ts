/**
 * Answers made by hand, for tests of words and layout only: invented data. They hang together as far as a reader of a
 * figure would notice, and prove nothing about any stage.
 */
import type { Note } from '../../answers/notes.ts';
import type { Cause, ImpedanceAnswer, QuiescentAnswer, SwingAnswer, WaveformAnswer } from '../../answers/types.ts';
import { sin } from '../../numerics/elementary.ts';

export const INVENTED = 'invented data, for the test of layout only';

const common = (notes: Note[] = []) => ({
  format: 1 as const,
  title: INVENTED,
  load: 'phones',
  notes,
  assumptions: [],
  warnings: [],
  ledger: [],
  sentences: [],
});

export const cutOff: Cause = {
  part: 'Q1',
  event: 'cuts-off',
  proven: true,
  shares: { Q1: 0.93 },
  demand: { part: 'R3', amperes: 0.0249, capacity: 0.00794, by: 'phones' },
  evidence: {
    change: 'lifted',
    part: 'Q1',
    volts: -0.2522,
    rest: { drive: -0.3677, output: -0.2457, changed: -0.2522 },
    relief: { change: 'current-supplied', volts: -1.12 },
  },
  sentence: '',
};

export const saturation: Cause = {
  part: 'Q1',
  event: 'saturates',
  proven: true,
  shares: { Q1: 0.88 },
  demand: { part: 'Q1', amperes: 0.237, capacity: 0.21, by: 'Q1' },
  evidence: {
    change: 'joined',
    part: 'Q1',
    volts: 6.171,
    rest: { drive: 7.47, output: 6.238, changed: 6.241 },
    relief: { change: 'vcc-raised', volts: 7.163 },
  },
  sentence: '',
};

export function swing(): SwingAnswer {
  const drive: number[] = [];
  const output: number[] = [];
  for (let k = 0; k <= 240; k++) {
    const e = -1.5 + (9.5 * k) / 240;
    drive.push(e);
    output.push(Math.max(-0.25, Math.min(6.2, 0.88 * e)));
  }
  return {
    ...common([{ kind: 'held', parts: ['C1', 'C2'] }]),
    question: 'swing',
    quiescentOutput: 0,
    high: { volts: 6.168, room: 6.168, drive: 6.96, flat: { volts: 6.2, room: 6.2 }, cause: saturation },
    low: { volts: -0.232, room: 0.232, drive: -0.3228, flat: { volts: -0.25, room: 0.25 }, cause: cutOff },
    clean: { peakToPeak: 0.2132, drive: 0.2604, distortion: 0.01 },
    conducts: null,
    deadZone: null,
    held: ['C1', 'C2'],
    leftOut: [],
    curve: { drive, output },
  };
}

const PERIOD = 1 / 440;

export function waveform(): WaveformAnswer {
  const time: number[] = [];
  const jack: number[] = [];
  const drive: number[] = [];
  const emitter: number[] = [];
  const resistor: number[] = [];
  for (let k = 0; k < 128; k++) {
    const wave = sin((2 * Math.PI * k) / 128);
    time.push((k * PERIOD) / 128);
    drive.push(0.9 * wave);
    jack.push(Math.max(-0.252, 0.72 * wave));
    emitter.push(Math.max(0, 0.0079 + 0.0225 * wave));
    resistor.push(0.0079 + 0.0004 * wave);
  }
  const measures = (minimum: number, maximum: number, mean: number, rms: number) => ({
    minimum,
    maximum,
    peakToPeak: maximum - minimum,
    mean,
    rms,
  });
  return {
    ...common(),
    question: 'waveform',
    period: PERIOD,
    settled: true,
    time,
    nodes: { in: drive, jack },
    currents: { Q1: { collector: emitter, base: emitter.map((i) => i / 240), emitter }, R3: resistor },
    measures: { in: measures(-0.9, 0.9, 0, 0.636), jack: measures(-0.252, 0.72, 0.14, 0.4) },
    spectrum: {
      fundamental: { magnitude: 0.46, phase: 3.27 },
      harmonics: [0.15, 0.02, 0.031, 0.012, 0.008, 0.006],
      distortion: { relativeToFundamental: 0.3372, relativeToTotal: 0.3195 },
    },
    stretches: [{ part: 'Q1', state: 'off', from: 0.00127, to: 0.00214, cause: { ...cutOff, level: -0.252 } }],
    turnedOn: [],
    parts: { Q1: { meanDissipation: 0.048, peakDissipation: 0.167, junctionTemperature: 25, peakCollectorCurrent: 0.033 } },
    supplies: { vcc: { meanCurrent: 0.00924, meanPower: 0.1109 } },
    outputPower: 0.00443,
    efficiency: 0.03995,
  };
}

export function impedance(): ImpedanceAnswer {
  const frequency = Array.from(
    { length: 81 },
    (_, k) => Number(`1e${Math.floor(k / 10)}`) * [1, 1.26, 1.58, 2, 2.51, 3.16, 3.98, 5.01, 6.31, 7.94][k % 10],
  );
  const highPass = (f: number, corner: number): number => f / Math.sqrt(f * f + corner * corner);
  const phase = frequency.map((f) => 90 * (1 - highPass(f, 45)));
  const curve = (magnitude: (number | null)[]) => ({ magnitude, phase });
  const gain = curve(frequency.map((f, k) => (k === 40 ? null : 0.825 * highPass(f, 45) * highPass(1.2e7, f))));
  return {
    ...common([{ kind: 'small-signal-bound', volts: 0.1 }]),
    question: 'impedance',
    frequency: 440,
    gain: { magnitude: 0.903, phase: 6 },
    overallGain: { magnitude: 0.82, phase: 5.5 },
    inputImpedance: { magnitude: 4850, phase: -5.2 },
    outputImpedance: { magnitude: 7.3, phase: -28.9 },
    lowCorner: 45,
    highCorner: 1.2e7,
    curve: {
      frequency,
      gain,
      overallGain: gain,
      inputImpedance: curve(frequency.map((f) => 4840 / highPass(f, 30))),
      outputImpedance: curve(frequency.map((f) => 7.1 / highPass(f, 99))),
    },
  };
}

export function quiescent(): QuiescentAnswer {
  return {
    ...common([{ kind: 'junctions-at-ambient', parts: ['Q1'], ambient: 25 }]),
    question: 'quiescent',
    nodes: { vcc: 12, base: 6.334, in: 0, out: 5.648, jack: 4e-16 },
    parts: {
      R1: { voltage: 5.666, current: 0.0001453, dissipation: 0.000823 },
      R2: { voltage: 6.334, current: 0.0001131, dissipation: 0.000716 },
      Q1: {
        region: 'active',
        collectorCurrent: 0.008274,
        baseCurrent: 3.219e-5,
        emitterCurrent: 0.008306,
        baseEmitterVoltage: 0.6855,
        collectorEmitterVoltage: 6.352,
        beta: 257,
        transconductance: 0.3219,
        emitterResistance: 3.094,
        dissipation: 0.05258,
        junctionTemperature: 25,
        role: { name: 'follower', sentence: '' },
      },
      R3: { voltage: 5.648, current: 0.008306, dissipation: 0.04691 },
      C2: { voltage: 5.648, current: 0, dissipation: 0 },
    },
    supplies: { vcc: { current: 0.008419, power: 0.101 } },
    otherSolutions: [],
    search: '',
    ledger: [
      {
        quantity: 'V(out)',
        unit: 'V',
        rule: { expression: 'V_CC R2/(R1 + R2) - V_BE', withNumbers: '12 V · 56k/(39k + 56k) - 0.65 V', value: 6.424 },
        computed: 5.648,
        reason: 'The rule leaves out the base current.',
      },
      { quantity: 'r_e', unit: 'Ω', rule: { expression: 'V_T/I_E', withNumbers: '26 mV/8.31 mA', value: 3.13 }, computed: 3.094 },
    ],
  };
}
