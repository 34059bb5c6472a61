/** Pairs, Darlingtons and stages in which two parts share the blame. */
import { DEVICE, junction, parallel, VT } from './closed-forms.ts';
import { C, type CauseRow, D, LOAD_LINE, Q, R, SATURATION, sheetText } from './row.ts';

const RAILS = 'vpos: 8 V, vneg: -8 V';

function pairRows(): CauseRow[] {
  const [load, source] = [47, 100];
  const bare = sheetText({
    title: 'Loudspeaker pair without bias',
    supplies: RAILS,
    parts: [Q('Q1', 'q-output', 'vpos', 'in', 'out'), Q('Q2', 'p-output', 'vneg', 'in', 'out')],
    drive: `node: in, sourceResistance: ${source}, waveform: sine, peakToPeak: 6 V, frequency: 400 Hz`,
    output: 'out',
    loads: `speaker: { resistor: ${load} }`,
  });
  // The edge of the dead zone: half of the largest slope, where V_T/i equals the load, seen through the base's source.
  const edge = (device: 'q-output' | 'p-output') => {
    const seen = load + source / (DEVICE[device].beta + 1);
    const i = VT / seen;
    return junction(device, i) + i * seen;
  };
  const [feed, re, heavy] = [680, 1, 33];
  const biased = (amplitude: string, speaker: number) =>
    sheetText({
      title: 'Loudspeaker pair with diode bias',
      supplies: RAILS,
      parts: [
        R('R1', feed, 'vpos', 'top'),
        D('D1', 'd-bias', 'top', 'in'),
        D('D2', 'd-bias', 'in', 'bottom'),
        R('R2', feed, 'bottom', 'vneg'),
        Q('Q1', 'q-output', 'vpos', 'top', 'e1'),
        Q('Q2', 'p-output', 'vneg', 'bottom', 'e2'),
        R('RE1', re, 'e1', 'out'),
        R('RE2', re, 'out', 'e2'),
      ],
      drive: `node: in, sourceResistance: 50, waveform: sine, peakToPeak: ${amplitude}, frequency: 400 Hz`,
      output: 'out',
      loads: `speaker: { resistor: ${speaker} }`,
    });
  // All of R1's current in the base: (8 - v_out - i R_E - V_BE)/R1 = i/(beta + 1), i = v_out/R_L.
  const starved = (device: 'q-output' | 'p-output') => {
    let v = 5;
    for (let turn = 0; turn < 100; turn++) {
      const i = v / heavy;
      const reach = heavy * (DEVICE[device].beta + 1);
      v = ((8 - junction(device, i)) * reach) / (feed + reach + re * (DEVICE[device].beta + 1));
    }
    return v;
  };
  const starvation = 'bias resistor less base current, (V - V_BE) K/(1 + K) with K = (beta + 1) R_L/R1: derived, load line';
  const multiplier = sheetText({
    title: 'Headphone pair with a base-emitter multiplier',
    supplies: RAILS,
    parts: [
      R('R1', 1000, 'vpos', 'top'),
      Q('Q3', 'q-small', 'top', 'tap', 'bottom'),
      R('R2', 1100, 'top', 'tap'),
      R('R3', 1000, 'tap', 'bottom'),
      R('R4', 1000, 'bottom', 'vneg'),
      C('C1', '100u', 'in', 'top'),
      C('C2', '100u', 'in', 'bottom'),
      Q('Q1', 'q-output', 'vpos', 'top', 'e1'),
      Q('Q2', 'p-output', 'vneg', 'bottom', 'e2'),
      R('RE1', 1, 'e1', 'out'),
      R('RE2', 1, 'out', 'e2'),
    ],
    drive: 'node: in, sourceResistance: 60, waveform: sine, peakToPeak: 3 V, frequency: 700 Hz',
    output: 'out',
    loads: 'phones: { resistor: 33 }',
  });
  const toRail = (8 * 33) / 34;
  const driver = (booted: boolean) =>
    sheetText({
      title: booted ? 'Loudspeaker driver with a bootstrap' : 'Loudspeaker driver without a bootstrap',
      supplies: RAILS,
      parts: [
        ...(booted
          ? [R('RA', 680, 'vpos', 'mid'), R('RB', 680, 'mid', 'top'), C('C3', '470u', 'mid', 'out')]
          : [R('RA', 1360, 'vpos', 'top')]),
        D('D1', 'd-bias', 'top', 'tap'),
        D('D2', 'd-bias', 'tap', 'bottom'),
        Q('Q3', 'q-small', 'bottom', 'base', 'em'),
        R('RE3', 100, 'em', 'vneg'),
        R('R1', 15e3, 'out', 'base'),
        R('R2', 2000, 'base', 'vneg'),
        C('C1', '47u', 'in', 'base'),
        Q('Q1', 'q-output', 'vpos', 'top', 'out'),
        Q('Q2', 'p-output', 'vneg', 'bottom', 'out'),
      ],
      drive: 'node: in, sourceResistance: 600, waveform: sine, peakToPeak: 0.2 V, frequency: 600 Hz',
      output: 'out',
      loads: 'speaker: { resistor: 47 }',
    });
  const driven = (() => {
    let v = 5;
    for (let turn = 0; turn < 100; turn++) {
      const reach = 47 * (DEVICE['q-output'].beta + 1);
      v = ((8 - junction('q-output', v / 47)) * reach) / (1360 + reach);
    }
    return v;
  })();
  return [
    {
      name: 'pair without bias',
      sheet: bare,
      innocent: [],
      clipsAtDrive: true,
      high: { parts: ['Q1'], events: ['saturates'], level: { volts: 8, tolerance: 0.12, figure: 'flat', source: SATURATION } },
      low: { parts: ['Q2'], events: ['saturates'], level: { volts: -8, tolerance: 0.12, figure: 'flat', source: SATURATION } },
      deadZone: {
        from: -edge('p-output'),
        to: edge('q-output'),
        tolerance: 0.01,
        source: 'half slope at V_T/i = R_L, derived from Ebers-Moll',
      },
      stretches: [
        { part: 'Q1', state: 'off', half: 'negative', blamed: null, events: [] },
        { part: 'Q2', state: 'off', half: 'positive', blamed: null, events: [] },
      ],
      note: 'Each half rests while the other works, which is no fault; round the crossing both are off (`both-off` where a cause is given).',
    },
    {
      name: 'diode-biased pair that runs out of base current',
      sheet: biased('18 V', heavy),
      innocent: ['Q1', 'Q2'],
      clipsAtDrive: true,
      high: {
        parts: ['D1'],
        events: ['cuts-off'],
        level: { volts: starved('q-output'), tolerance: 0.04, figure: 'flat', source: starvation },
      },
      low: {
        parts: ['D2'],
        events: ['cuts-off'],
        level: { volts: -starved('p-output'), tolerance: 0.04, figure: 'flat', source: starvation },
      },
      stretches: [
        {
          part: 'D1',
          state: 'off',
          half: 'positive',
          blamed: ['D1'],
          events: ['cuts-off'],
          level: { volts: starved('q-output'), tolerance: 0.04, source: starvation },
        },
        { part: 'D2', state: 'off', half: 'negative', blamed: ['D2'], events: ['cuts-off'] },
      ],
      note: 'All of R1 goes into the base; the diode has nothing left and no longer carries the signal. The output transistor is innocent.',
    },
    {
      name: 'diode-biased pair at ease',
      sheet: biased('3 V', 150),
      innocent: [],
      clipsAtDrive: false,
      note: 'One and a half volts into 150 ohm; a half that rests on the way is not to be blamed.',
    },
    {
      name: 'pair with a multiplier, driven on both bases',
      sheet: multiplier,
      innocent: ['Q3'],
      clipsAtDrive: false,
      high: { parts: ['Q1'], events: ['saturates'], level: { volts: toRail - 0.08, tolerance: 0.1, figure: 'flat', source: SATURATION } },
      low: { parts: ['Q2'], events: ['saturates'], level: { volts: -toRail + 0.08, tolerance: 0.1, figure: 'flat', source: SATURATION } },
      note: 'Both capacitors are held, so the multiplier keeps its voltage and each half reaches its rail.',
    },
    {
      name: 'driver whose collector resistor starves the upper half',
      sheet: driver(false),
      innocent: ['Q1', 'Q2', 'D1', 'D2'],
      clipsAtDrive: false,
      high: { parts: ['Q3'], events: ['cuts-off'], level: { volts: driven, tolerance: 0.1, figure: 'flat', source: starvation } },
      note: 'The upper half gets its base current from RA alone; when Q3 has let go of all of it there is no more.',
    },
    {
      name: 'driver with a bootstrap',
      sheet: driver(true),
      innocent: ['Q3', 'D1', 'D2'],
      clipsAtDrive: false,
      high: { parts: ['Q1'], events: ['saturates'], level: { volts: 8, tolerance: 0.15, figure: 'flat', source: SATURATION } },
      note: 'The held capacitor lifts the feed above the rail: RB keeps its current and Q1 is driven home.',
    },
  ];
}

function darlingtonRows(): CauseRow[] {
  const [upper, lower, re, load] = [100e3, 150e3, 330, 47];
  const make = (bleed: boolean, complementary: boolean) =>
    sheetText({
      title: complementary ? 'Cable driver, complementary Darlington' : 'Cable driver, Darlington',
      supplies: 'vcc: 12 V',
      parts: [
        R('R1', upper, 'vcc', 'base'),
        R('R2', lower, 'base', 'gnd'),
        C('C1', '2.2u', 'in', 'base'),
        ...(complementary
          ? [Q('Q1', 'q-small', 'mid', 'base', 'out'), Q('Q2', 'p-output', 'out', 'mid', 'vcc')]
          : [Q('Q1', 'q-small', 'vcc', 'base', 'mid'), Q('Q2', 'q-output', 'vcc', 'mid', 'out')]),
        ...(bleed ? [R('RB', 10e3, 'mid', 'out')] : []),
        R('RE', re, 'out', 'gnd'),
        C('C2', '1000u', 'out', 'jack'),
        R('R4', 10e3, 'jack', 'gnd'),
      ],
      drive: 'node: in, sourceResistance: 1k, waveform: sine, peakToPeak: 3 V, frequency: 500 Hz',
      output: 'jack',
      loads: `cable: { resistor: ${load} }`,
    });
  const open = (12 * lower) / (upper + lower);
  const rl = parallel(load, 10e3);
  let emitter = 5.8;
  let compound = 6.4;
  for (let turn = 0; turn < 100; turn++) {
    const i = emitter / re;
    const i1 = i / (DEVICE['q-output'].beta + 1);
    emitter = open - (i1 / (DEVICE['q-small'].beta + 1)) * parallel(upper, lower) - junction('q-output', i) - junction('q-small', i1);
    const j = compound / re / (DEVICE['p-output'].beta + 1);
    compound = open - (j / DEVICE['q-small'].beta) * parallel(upper, lower) - junction('q-small', j);
  }
  const off = (v: number) => (-v * rl) / (re + rl);
  const source = `V_E R_L/(R_E + R_L): ${LOAD_LINE}`;
  return [
    {
      name: 'Darlington without an inner resistor',
      sheet: make(false, false),
      innocent: [],
      clipsAtDrive: true,
      low: { parts: ['Q1', 'Q2'], events: ['cuts-off'], level: { volts: off(emitter), tolerance: 0.006, figure: 'flat', source } },
      note: 'V_T/I of both, the first divided by beta + 1, are equal: each share is 2/7, and neither alone is to blame.',
    },
    {
      name: 'Darlington with an inner resistor',
      sheet: make(true, false),
      innocent: ['Q1'],
      clipsAtDrive: true,
      low: {
        parts: ['Q2'],
        events: ['cuts-off'],
        level: { volts: off(emitter) + VT, tolerance: 0.012, figure: 'limit', source: `${source}; V_T before it` },
      },
      note: 'RB keeps 65 uA in the first; the second lets go.',
    },
    {
      name: 'complementary Darlington',
      sheet: make(false, true),
      innocent: ['Q2'],
      clipsAtDrive: true,
      low: { parts: ['Q1'], events: ['cuts-off'], level: { volts: off(compound), tolerance: 0.006, figure: 'flat', source } },
      note: 'The second only multiplies current by its beta, off or on; the one junction between base and output belongs to the first.',
    },
  ];
}

function sharedRows(): CauseRow[] {
  const [upper, lower, re, load] = [10e3, 12e3, 560, 56];
  const twins = sheetText({
    title: 'Two followers side by side',
    supplies: 'vcc: 12 V',
    parts: [
      R('R1', upper, 'vcc', 'base'),
      R('R2', lower, 'base', 'gnd'),
      C('C1', '10u', 'in', 'base'),
      Q('Q1', 'q-small', 'vcc', 'base', 'out'),
      Q('Q2', 'q-small', 'vcc', 'base', 'out'),
      R('RE', re, 'out', 'gnd'),
      C('C2', '470u', 'out', 'jack'),
      R('R4', 10e3, 'jack', 'gnd'),
    ],
    drive: 'node: in, sourceResistance: 100, waveform: sine, peakToPeak: 3 V, frequency: 500 Hz',
    output: 'jack',
    loads: `phones: { resistor: ${load} }`,
  });
  // Two equal devices halve the current in each, so V_BE falls by V_T ln 2 against one.
  const { beta } = DEVICE['q-small'];
  let current = 8e-3;
  for (let turn = 0; turn < 100; turn++)
    current = ((12 * lower) / (upper + lower) - junction('q-small', current / 2) - (current / (beta + 1)) * parallel(upper, lower)) / re;
  const rl = parallel(load, 10e3);
  const gate = (resistor: number, to: number) =>
    sheetText({
      title: 'Two diodes in the way of the signal',
      supplies: 'vneg: -9 V',
      parts: [D('D1', 'd-clamp', 'in', 'mid'), D('D2', 'd-clamp', 'mid', 'out'), R('R1', resistor, 'out', 'vneg')],
      drive: 'node: in, sourceResistance: 20, waveform: sine, peakToPeak: 4 V, frequency: 500 Hz',
      output: 'out',
      loads: `line: { resistor: ${to} }`,
    });
  return [
    {
      name: 'two followers side by side',
      sheet: twins,
      innocent: [],
      clipsAtDrive: true,
      low: {
        parts: ['Q1', 'Q2'],
        events: ['cuts-off'],
        level: { volts: -current * parallel(re, rl), tolerance: 0.006, figure: 'flat', source: `I (R_E ∥ R_L): ${LOAD_LINE}` },
      },
      high: { parts: ['Q1', 'Q2'], events: ['saturates'] },
      note: 'Equal devices let go together; each share is 2/3.',
    },
    {
      name: 'two diodes in series in the way',
      sheet: gate(1800, 270),
      innocent: [],
      clipsAtDrive: true,
      low: {
        parts: ['D1', 'D2'],
        events: ['cuts-off', 'fades'],
        level: { volts: (-9 * 270) / (1800 + 270), tolerance: 0.003, figure: 'flat', source: `V R_L/(R + R_L): ${LOAD_LINE}` },
      },
      high: null,
      note: 'One current through both: equal shares of 2/7. Upwards they only conduct better, and how far the curve is drawn there sets the threshold of off: before the flat or after it.',
    },
  ];
}

export const pairAndSharedRows = (): CauseRow[] => [...pairRows(), ...darlingtonRows(), ...sharedRows()];
