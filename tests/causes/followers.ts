/** Followers, of both polarities: resistor, sink, coupling capacitor, rails, neighbours that must not be blamed. */
import { DEVICE, dividerBias, halfSlopeBeforeCutOff, junction, parallel, railFollower, VT } from './closed-forms.ts';
import { C, type CauseRow, D, EBERS_MOLL, LOAD_LINE, Q, R, SATURATION, sheetText } from './row.ts';

const half = 'half-slope point of R/(R + V_T/i + R_S/(beta+1)), derived from Ebers-Moll';

/** Capacitor-coupled, on 12 V, divider bias. */
function coupled(
  kind: 'npn' | 'pnp',
  title: string,
  amplitude: string,
  load: number,
  extra: string[] = [],
): { text: string; off: number; limit: number; rail: number } {
  const [upper, lower, re, bleed, source] = [39e3, 47e3, 820, 10e3, 600];
  const device = kind === 'npn' ? 'q-small' : 'p-small';
  const { current, emitter } = dividerBias(device, 12, upper, lower, re);
  const around = parallel(re, bleed, load);
  // Off, the emitter resistor alone pulls, and the held capacitor stands at V_E: V_E R_L/(R_E + R_L) below rest.
  const off = (-emitter * parallel(bleed, load)) / (re + parallel(bleed, load));
  const limit = off + halfSlopeBeforeCutOff(around, current, parallel(source, upper, lower) / (DEVICE[device].beta + 1));
  const [hot, cold] = kind === 'npn' ? ['vcc', 'gnd'] : ['gnd', 'vcc'];
  const text = sheetText({
    title,
    supplies: 'vcc: 12 V',
    parts: [
      R('R1', upper, hot, 'base'),
      R('R2', lower, 'base', cold),
      C('C1', '4.7u', 'in', 'base'),
      Q('Q1', device, hot, 'base', 'out'),
      R('RE', re, 'out', cold),
      C('C2', '470u', 'out', 'jack'),
      R('R4', bleed, 'jack', 'gnd'),
      ...extra,
    ],
    drive: `node: in, sourceResistance: ${source}, waveform: sine, peakToPeak: ${amplitude}, frequency: 600 Hz`,
    output: 'jack',
    loads: `phones: { resistor: ${load} }`,
  });
  const sign = kind === 'npn' ? 1 : -1;
  return { text, off: sign * off, limit: sign * limit, rail: sign * (12 - emitter) };
}

function coupledRows(): CauseRow[] {
  const phones = coupled('npn', 'Headphone follower, heavy load', '3 V', 47);
  const mirrored = coupled('pnp', 'Headphone follower, upside down', '3 V', 47);
  const line = coupled('npn', 'Line follower', '1 V', 10e3);
  const guarded = coupled('npn', 'Line follower with rail diodes', '1 V', 2200, [
    D('D1', 'd-clamp', 'out', 'vcc'),
    D('D2', 'd-clamp', 'gnd', 'out'),
  ]);
  const source = `V_E R_L/(R_E + R_L): ${LOAD_LINE}`;
  return [
    {
      name: 'headphone follower',
      sheet: phones.text,
      innocent: [],
      clipsAtDrive: true,
      low: { parts: ['Q1'], events: ['cuts-off'], level: { volts: phones.off, tolerance: 0.003, figure: 'flat', source } },
      high: {
        parts: ['Q1'],
        events: ['saturates'],
        level: { volts: phones.rail - 0.08, tolerance: 0.1, figure: 'flat', source: SATURATION },
      },
      stretches: [{ part: 'Q1', state: 'off', half: 'negative', blamed: ['Q1', 'C2'], events: ['holds', 'cuts-off'] }],
      note: 'The capacitor feeds the load current back through RE once the device lets go.',
    },
    {
      name: 'headphone follower, the half-slope point',
      sheet: phones.text,
      innocent: [],
      clipsAtDrive: true,
      low: { parts: ['Q1'], events: ['cuts-off'], level: { volts: phones.limit, tolerance: 0.002, figure: 'limit', source: half } },
      note: 'The limit proper lies V_T or less before the flat.',
    },
    {
      name: 'PNP headphone follower',
      sheet: mirrored.text,
      innocent: [],
      clipsAtDrive: true,
      high: { parts: ['Q1'], events: ['cuts-off'], level: { volts: mirrored.off, tolerance: 0.003, figure: 'flat', source } },
      low: {
        parts: ['Q1'],
        events: ['saturates'],
        level: { volts: mirrored.rail + 0.08, tolerance: 0.1, figure: 'flat', source: SATURATION },
      },
      stretches: [{ part: 'Q1', state: 'off', half: 'positive', blamed: ['Q1', 'C2'], events: ['holds', 'cuts-off'] }],
      note: 'Polarity mirrored: high and low exchange.',
    },
    {
      name: 'line follower, not overdriven',
      sheet: line.text,
      innocent: [],
      clipsAtDrive: false,
      low: { parts: ['Q1'], events: ['cuts-off'], level: { volts: line.off, tolerance: 0.01, figure: 'flat', source } },
      high: { parts: ['Q1'], events: ['saturates'] },
      note: 'The drive of 0.5 V peak is far from the 5.8 V that the light load allows.',
    },
    {
      name: 'rail diodes that stay off',
      sheet: guarded.text,
      innocent: ['D1', 'D2'],
      clipsAtDrive: false,
      low: { parts: ['Q1'], events: ['cuts-off'], level: { volts: guarded.off, tolerance: 0.01, figure: 'flat', source } },
      note: 'The diodes are reversed all through the swing below the rails; they are off and innocent.',
    },
  ];
}

function splitRows(): CauseRow[] {
  const make = (kind: 'npn' | 'pnp', load: number, amplitude: string, extra: string[] = []) =>
    sheetText({
      title: `Split-supply follower, ${kind}`,
      supplies: 'vpos: 9 V, vneg: -9 V',
      parts: [
        Q('Q1', kind === 'npn' ? 'q-small' : 'p-small', kind === 'npn' ? 'vpos' : 'vneg', 'in', 'out'),
        R('RE', 1500, 'out', kind === 'npn' ? 'vneg' : 'vpos'),
        ...extra,
      ],
      drive: `node: in, sourceResistance: 120, waveform: sine, peakToPeak: ${amplitude}, frequency: 300 Hz`,
      output: 'out',
      loads: `cable: { resistor: ${load} }`,
    });
  const off = (load: number) => (-9 * load) / (1500 + load);
  const source = `-V_EE R_L/(R_E + R_L): ${LOAD_LINE}`;
  const rest = railFollower('q-small', 9, 1500, 120, 330);
  const limit = off(330) + halfSlopeBeforeCutOff(parallel(1500, 330), rest.current, 120 / (DEVICE['q-small'].beta + 1));
  return [
    {
      name: 'split-supply follower',
      sheet: make('npn', 330, '5 V'),
      innocent: [],
      clipsAtDrive: true,
      low: { parts: ['Q1'], events: ['cuts-off'], level: { volts: off(330), tolerance: 0.002, figure: 'flat', source } },
      high: { parts: ['Q1'], events: ['saturates'], level: { volts: 9 - 0.06, tolerance: 0.08, figure: 'flat', source: SATURATION } },
      stretches: [
        {
          part: 'Q1',
          state: 'off',
          half: 'negative',
          blamed: ['Q1'],
          events: ['cuts-off'],
          level: { volts: off(330), tolerance: 0.002, source },
        },
      ],
      note: 'No capacitor: the level itself is the divider of RE and the load.',
    },
    {
      name: 'split-supply follower, the half-slope point',
      sheet: make('npn', 330, '5 V'),
      innocent: [],
      clipsAtDrive: true,
      low: { parts: ['Q1'], events: ['cuts-off'], level: { volts: limit, tolerance: 0.002, figure: 'limit', source: half } },
      note: 'As above, at the limit proper.',
    },
    {
      name: 'split-supply PNP follower',
      sheet: make('pnp', 330, '5 V'),
      innocent: [],
      clipsAtDrive: true,
      high: { parts: ['Q1'], events: ['cuts-off'], level: { volts: -off(330), tolerance: 0.002, figure: 'flat', source } },
      low: { parts: ['Q1'], events: ['saturates'], level: { volts: -9 + 0.06, tolerance: 0.08, figure: 'flat', source: SATURATION } },
      stretches: [
        {
          part: 'Q1',
          state: 'off',
          half: 'positive',
          blamed: ['Q1'],
          events: ['cuts-off'],
          level: { volts: -off(330), tolerance: 0.002, source },
        },
      ],
      note: 'Polarity mirrored.',
    },
    {
      name: 'split-supply follower, light load',
      sheet: make('npn', 15e3, '3 V'),
      innocent: [],
      clipsAtDrive: false,
      low: { parts: ['Q1'], events: ['cuts-off'], level: { volts: off(15e3), tolerance: 0.004, figure: 'flat', source } },
      note: 'Cut-off waits near the rail.',
    },
    {
      name: 'split-supply follower with an emitter-junction guard',
      sheet: make('npn', 15e3, '3 V', [D('D3', 'd-clamp', 'out', 'in')]),
      innocent: ['D3'],
      clipsAtDrive: false,
      low: { parts: ['Q1'], events: ['cuts-off'] },
      note: 'D3 lies reversed across the emitter junction and conducts only after Q1 has let go.',
    },
  ];
}

function sinkRows(): CauseRow[] {
  const ideal = sheetText({
    title: 'Cable driver on an ideal sink',
    supplies: 'vpos: 9 V, vneg: -9 V',
    parts: [Q('Q1', 'q-small', 'vpos', 'in', 'out'), 'I1: { current: 5 mA, from: out, to: vneg }'],
    drive: 'node: in, sourceResistance: 50, waveform: sine, peakToPeak: 4 V, frequency: 1 kHz',
    output: 'out',
    loads: 'cable: { resistor: 220 }',
  });
  // The sink: 5.1 V reference less V_BE over RE, found by repetition; its collector takes beta/(beta+1) of that.
  const made = (load: number, amplitude: string) =>
    sheetText({
      title: 'Cable driver on a sink with a diode string',
      supplies: 'vpos: 9 V, vneg: -9 V',
      parts: [
        Q('Q1', 'q-small', 'vpos', 'in', 'out'),
        Q('Q2', 'q-small', 'out', 'ref', 'foot'),
        R('RF', 150, 'foot', 'vneg'),
        R('R1', 3900, 'gnd', 'ref'),
        D('D1', 'd-bias', 'ref', 'mid'),
        D('D2', 'd-bias', 'mid', 'vneg'),
      ],
      drive: `node: in, sourceResistance: 50, waveform: sine, peakToPeak: ${amplitude}, frequency: 1 kHz`,
      output: 'out',
      loads: `cable: { resistor: ${load} }`,
    });
  let sink = 4e-3;
  for (let turn = 0; turn < 200; turn++) {
    const ref = 2 * VT * Math.log(2e-3 / 3e-14);
    let diode = 2e-3;
    let volts = ref;
    for (let again = 0; again < 50; again++) {
      diode = (9 - volts) / 3900 - sink / DEVICE['q-small'].beta;
      volts = 2 * VT * Math.log(diode / 3e-14);
    }
    sink = (volts - junction('q-small', sink)) / 150 / (1 + 1 / DEVICE['q-small'].beta);
  }
  const mirrorSink = sheetText({
    title: 'Line driver on a mirror',
    supplies: 'vpos: 9 V, vneg: -9 V',
    parts: [
      Q('Q1', 'q-small', 'vpos', 'in', 'out'),
      Q('Q2', 'q-small', 'out', 'ref', 'vneg'),
      Q('Q3', 'q-small', 'ref', 'ref', 'vneg'),
      R('R1', 4700, 'gnd', 'ref'),
    ],
    drive: 'node: in, sourceResistance: 50, waveform: sine, peakToPeak: 3 V, frequency: 1 kHz',
    output: 'out',
    loads: 'none: { resistor: 100k }',
  });
  const source = `-I R_L, the sink takes what the load gives: Sedra and Smith, Microelectronic Circuits, 6th ed. 11.2 (class-A follower), from memory`;
  return [
    {
      name: 'follower on an ideal sink',
      sheet: ideal,
      innocent: [],
      clipsAtDrive: true,
      low: { parts: ['Q1'], events: ['cuts-off'], level: { volts: -5e-3 * 220, tolerance: 0.002, figure: 'flat', source } },
      high: { parts: ['Q1'], events: ['saturates'] },
      stretches: [
        {
          part: 'Q1',
          state: 'off',
          half: 'negative',
          blamed: ['Q1'],
          events: ['cuts-off'],
          level: { volts: -1.1, tolerance: 0.002, source },
        },
      ],
      note: 'Limit at the sink current times the load.',
    },
    {
      name: 'follower on a transistor sink, heavy load',
      sheet: made(150, '4 V'),
      innocent: ['Q2', 'D1', 'D2'],
      clipsAtDrive: true,
      low: { parts: ['Q1'], events: ['cuts-off'], level: { volts: -sink * 150, tolerance: 0.004, figure: 'flat', source } },
      stretches: [{ part: 'Q1', state: 'off', half: 'negative', blamed: ['Q1'], events: ['cuts-off'] }],
      note: 'The sink works as it should; what it can take is all that it can take.',
    },
    {
      name: 'follower on a transistor sink, at ease',
      sheet: made(2200, '2 V'),
      innocent: ['D1', 'D2'],
      clipsAtDrive: false,
      high: { parts: ['Q1'], events: ['saturates'] },
      note: 'One volt peak is well inside -I R_L and the rails.',
    },
    {
      name: 'follower on a mirror, light load',
      sheet: mirrorSink,
      innocent: ['Q3'],
      clipsAtDrive: false,
      low: {
        parts: ['Q2'],
        events: ['saturates'],
        level: {
          volts: -9 + 0.06,
          tolerance: 0.06,
          figure: 'limit',
          source: `sink's V_CE(sat) above the rail: ${EBERS_MOLL}; half slope where the sink's slope equals the follower's`,
        },
      },
      note: 'With nothing in the emitter of the sink, its saturation stops the output before the follower runs out of current (shares 2/3 and 2/7).',
    },
  ];
}

function railRows(): CauseRow[] {
  const [rs, rc, re] = [10e3, 470, 470];
  const starved = sheetText({
    title: 'Follower with a resistor in its collector',
    supplies: 'vcc: 9 V',
    parts: [R('RS', rs, 'in', 'base'), R('RC', rc, 'vcc', 'coll'), Q('Q1', 'q-small', 'coll', 'base', 'out'), R('RE', re, 'out', 'gnd')],
    drive: 'node: in, sourceResistance: 0, waveform: sine, peakToPeak: 8 V, offset: 3 V, frequency: 300 Hz',
    output: 'out',
    loads: 'none: open',
  });
  const ground = sheetText({
    title: 'Follower near ground',
    supplies: 'vcc: 12 V',
    parts: [
      R('R1', 150e3, 'vcc', 'base'),
      R('R2', 33e3, 'base', 'gnd'),
      C('C1', '4.7u', 'in', 'base'),
      Q('Q1', 'q-small', 'vcc', 'base', 'out'),
      R('RE', 2200, 'out', 'gnd'),
    ],
    drive: 'node: in, sourceResistance: 220, waveform: sine, peakToPeak: 5 V, frequency: 900 Hz',
    output: 'out',
    loads: 'none: open',
  });
  const [upper, lower, feed, emitterResistor, load] = [82e3, 68e3, 150e3, 1200, 2200];
  const booted = sheetText({
    title: 'Hydrophone follower, bootstrapped',
    supplies: 'vcc: 12 V',
    parts: [
      C('C0', '1u', 'in', 'base'),
      R('R1', upper, 'vcc', 'mid'),
      R('R2', lower, 'mid', 'gnd'),
      R('R3', feed, 'mid', 'base'),
      C('C3', '100u', 'out', 'mid'),
      Q('Q1', 'q-small', 'vcc', 'base', 'out'),
      R('RE', emitterResistor, 'out', 'gnd'),
      C('C2', '220u', 'out', 'jack'),
    ],
    drive: 'node: in, sourceResistance: 1k, waveform: sine, peakToPeak: 0.8 V, frequency: 1 kHz',
    output: 'jack',
    loads: 'line: { resistor: 2200 }',
  });
  const { beta } = DEVICE['q-small'];
  let current = 3e-3;
  for (let turn = 0; turn < 100; turn++)
    current =
      ((12 * lower) / (upper + lower) - junction('q-small', (current * beta) / (beta + 1))) /
      (emitterResistor + (parallel(upper, lower) + feed) / (beta + 1));
  const bootOff = -current * parallel(emitterResistor, load, upper, lower);
  return [
    {
      name: 'follower that meets its collector resistor',
      sheet: starved,
      innocent: [],
      clipsAtDrive: true,
      high: {
        parts: ['Q1'],
        events: ['saturates'],
        level: { volts: (9 * re) / (re + rc), tolerance: 0.12, figure: 'limit', source: `V_CC R_E/(R_E + R_C): ${LOAD_LINE}` },
      },
      low: { parts: ['Q1'], events: ['cuts-off'], level: { volts: 0, tolerance: 0.002, figure: 'flat', source: LOAD_LINE } },
      stretches: [
        { part: 'Q1', state: 'saturated', half: 'positive', blamed: ['Q1'], events: ['saturates'] },
        { part: 'Q1', state: 'off', half: 'negative', blamed: ['Q1'], events: ['cuts-off'] },
      ],
      note: 'Emitter and collector meet; the base resistor keeps the drive from pushing on.',
    },
    {
      name: 'follower biased near ground',
      sheet: ground,
      innocent: [],
      clipsAtDrive: true,
      low: { parts: ['Q1'], events: ['cuts-off'], level: { volts: 0, tolerance: 0.002, figure: 'flat', source: LOAD_LINE } },
      high: { parts: ['Q1'], events: ['saturates'], level: { volts: 12, tolerance: 0.08, figure: 'flat', source: SATURATION } },
      stretches: [
        {
          part: 'Q1',
          state: 'off',
          half: 'negative',
          blamed: ['Q1'],
          events: ['cuts-off'],
          level: { volts: 0, tolerance: 0.005, source: LOAD_LINE },
        },
      ],
      note: 'Nothing but RE pulls down, and ground is its end.',
    },
    {
      name: 'bootstrapped follower',
      sheet: booted,
      innocent: [],
      clipsAtDrive: false,
      low: {
        parts: ['Q1'],
        events: ['cuts-off'],
        level: {
          volts: bootOff,
          tolerance: 0.05,
          figure: 'flat',
          source: `I_E (R_E ∥ R_L ∥ R1 ∥ R2), the divider hanging on the emitter through C3: ${LOAD_LINE}; R3 pulls on a little (1 % of the slope)`,
        },
      },
      note: 'The bootstrap capacitor adds the divider to the load, and to nothing else.',
    },
  ];
}

export const followerRows = (): CauseRow[] => [...coupledRows(), ...splitRows(), ...sinkRows(), ...railRows()];
