/** Gain stages: common emitter, common base, long tail, mirror, and gain stages in front of followers. */
import { DEVICE, dividerBias, junction, parallel, VT } from './closed-forms.ts';
import { C, type CauseRow, EBERS_MOLL, LOAD_LINE, Q, R, SATURATION, sheetText } from './row.ts';

function commonEmitterRows(): CauseRow[] {
  const [upper, lower, rc, re, load] = [68e3, 15e3, 3300, 820, 22e3];
  const make = (kind: 'npn' | 'pnp', bypass: boolean, amplitude: string, source: number) => {
    const [hot, cold] = kind === 'npn' ? ['vcc', 'gnd'] : ['gnd', 'vcc'];
    return sheetText({
      title: `Hydrophone gain stage, ${kind}`,
      supplies: 'vcc: 12 V',
      parts: [
        C('C1', '10u', 'in', 'base'),
        R('R1', upper, hot, 'base'),
        R('R2', lower, 'base', cold),
        Q('Q1', kind === 'npn' ? 'q-small' : 'p-small', 'coll', 'base', 'em'),
        R('RC', rc, hot, 'coll'),
        R('RE', re, 'em', cold),
        ...(bypass ? [C('C3', '1000u', 'em', cold)] : []),
        C('C2', '10u', 'coll', 'jack'),
        R('R5', 100e3, 'jack', 'gnd'),
      ],
      drive: `node: in, sourceResistance: ${source}, waveform: sine, peakToPeak: ${amplitude}, frequency: 1 kHz`,
      output: 'jack',
      loads: `line: { resistor: ${load} }`,
    });
  };
  const bias = dividerBias('q-small', 12, upper, lower, re);
  const { beta } = DEVICE['q-small'];
  const collectorCurrent = (bias.current * beta) / (beta + 1);
  const around = parallel(rc, load, 100e3);
  const collector = 12 - collectorCurrent * rc;
  // Bypassed: slope goes with 1/(V_T/i + R_S/beta), so half is at V_T/i = 2 V_T/I + R_S/beta.
  const halfway = (source: number, device: 'q-small' | 'p-small', i: number) => i - VT / ((2 * VT) / i + source / DEVICE[device].beta);
  const fade = halfway(parallel(50, upper, lower), 'q-small', collectorCurrent) * around;
  const mirrored = dividerBias('p-small', 12, upper, lower, re);
  const mirroredCurrent = (mirrored.current * DEVICE['p-small'].beta) / (DEVICE['p-small'].beta + 1);
  const fadeDown = -halfway(parallel(50, upper, lower), 'p-small', mirroredCurrent) * around;
  // Degenerated, into saturation: collector and emitter meet, with the held C2 drawing (V_C0 - v)/R_L.
  const meet = (() => {
    const drop = 0.06;
    // v/RE's current flows through RC and the load as well: (12 - v - drop)/RC + (collector - v - drop)/(R_L) = v/RE.
    const rl = parallel(load, 100e3);
    const v = ((12 - drop) / rc + (collector - drop) / rl) / (1 / re + 1 / rc + 1 / rl);
    return v + drop - collector;
  })();
  const off = collectorCurrent * around;
  return [
    {
      name: 'gain stage with its whole emitter resistor',
      sheet: make('npn', false, '4 V', 600),
      innocent: [],
      clipsAtDrive: true,
      high: {
        parts: ['Q1'],
        events: ['cuts-off'],
        level: { volts: off, tolerance: 0.05, figure: 'flat', source: `I_C (R_C ∥ R_L): ${LOAD_LINE}` },
      },
      low: {
        parts: ['Q1'],
        events: ['saturates'],
        level: { volts: meet, tolerance: 0.15, figure: 'limit', source: `R_C and R_E share the supply: ${LOAD_LINE}` },
      },
      stretches: [{ part: 'Q1', state: 'saturated', half: 'positive', blamed: ['Q1'], events: ['saturates'] }],
      note: 'Degeneration makes a corner of the cut-off.',
    },
    {
      name: 'gain stage with its whole emitter resistor, small drive',
      sheet: make('npn', false, '0.6 V', 600),
      innocent: [],
      clipsAtDrive: false,
      high: { parts: ['Q1'], events: ['cuts-off'] },
      low: { parts: ['Q1'], events: ['saturates'] },
      note: '1.2 V peak at the collector, of some 5 V to be had.',
    },
    {
      name: 'gain stage with its emitter bypassed',
      sheet: make('npn', true, '80 mV', 50),
      innocent: [],
      clipsAtDrive: true,
      high: {
        parts: ['Q1'],
        events: ['fades'],
        level: { volts: fade, tolerance: 0.02 * fade, figure: 'limit', source: `transconductance halved with the current: ${EBERS_MOLL}` },
      },
      low: {
        parts: ['Q1'],
        events: ['saturates'],
        level: { volts: bias.emitter + 0.1 - collector, tolerance: 0.12, figure: 'flat', source: SATURATION },
      },
      note: 'Without degeneration there is no corner: the gain goes with the current.',
    },
    {
      name: 'gain stage with its emitter bypassed, a millivolt of drive',
      sheet: make('npn', true, '1 mV', 50),
      innocent: [],
      clipsAtDrive: false,
      high: { parts: ['Q1'], events: ['fades'] },
      low: { parts: ['Q1'], events: ['saturates'] },
      note: '0.5 mV peak is 2 % of V_T: half a percent of second harmonic.',
    },
    {
      name: 'PNP gain stage with its emitter bypassed',
      sheet: make('pnp', true, '80 mV', 50),
      innocent: [],
      clipsAtDrive: true,
      low: {
        parts: ['Q1'],
        events: ['fades'],
        level: {
          volts: fadeDown,
          tolerance: -0.02 * fadeDown,
          figure: 'limit',
          source: `transconductance halved with the current: ${EBERS_MOLL}`,
        },
      },
      high: { parts: ['Q1'], events: ['saturates'] },
      note: 'Polarity mirrored.',
    },
    {
      name: 'PNP gain stage with its whole emitter resistor',
      sheet: make('pnp', false, '4 V', 600),
      innocent: [],
      clipsAtDrive: true,
      low: {
        parts: ['Q1'],
        events: ['cuts-off'],
        level: { volts: -mirroredCurrent * around, tolerance: 0.05, figure: 'flat', source: `I_C (R_C ∥ R_L): ${LOAD_LINE}` },
      },
      high: { parts: ['Q1'], events: ['saturates'] },
      note: 'Polarity mirrored.',
    },
  ];
}

function chainRows(): CauseRow[] {
  const [rc, re1, re2, bleed] = [3900, 820, 2200, 22e3];
  const make = (load: number, amplitude: string) =>
    sheetText({
      title: 'Gain stage and follower',
      supplies: 'vcc: 12 V',
      parts: [
        C('C1', '4.7u', 'in', 'b1'),
        R('R1', 82e3, 'vcc', 'b1'),
        R('R2', 16e3, 'b1', 'gnd'),
        Q('Q1', 'q-small', 'c1', 'b1', 'e1'),
        R('RC', rc, 'vcc', 'c1'),
        R('RE1', re1, 'e1', 'gnd'),
        Q('Q2', 'q-small', 'vcc', 'c1', 'out'),
        R('RE2', re2, 'out', 'gnd'),
        C('C2', '100u', 'out', 'jack'),
        R('R6', bleed, 'jack', 'gnd'),
      ],
      drive: `node: in, sourceResistance: 1k, waveform: sine, peakToPeak: ${amplitude}, frequency: 800 Hz`,
      output: 'jack',
      loads: `load: { resistor: ${load} }`,
    });
  const { beta } = DEVICE['q-small'];
  const first = dividerBias('q-small', 12, 82e3, 16e3, re1);
  let rest = 5;
  for (let turn = 0; turn < 100; turn++) {
    const i = rest / re2;
    rest = 12 - rc * ((first.current * beta) / (beta + 1) + i / (beta + 1)) - junction('q-small', i);
  }
  // Q1 off: the follower's base hangs on RC alone. Emitter current v/RE2 + (v - V_E)/R_L, its base's share through RC.
  const top = (load: number) => {
    const rl = parallel(bleed, load);
    let v = 10;
    for (let turn = 0; turn < 100; turn++) {
      const vbe = junction('q-small', v / re2 + (v - rest) / rl);
      v = (12 - vbe + (rc / (beta + 1)) * (rest / rl)) / (1 + (rc / (beta + 1)) * (1 / re2 + 1 / rl));
    }
    return v - rest;
  };
  const heavy = parallel(bleed, 180);
  return [
    {
      name: 'gain stage and follower, light load',
      sheet: make(47e3, '6 V'),
      innocent: ['Q2'],
      clipsAtDrive: true,
      high: {
        parts: ['Q1'],
        events: ['cuts-off'],
        level: {
          volts: top(47e3),
          tolerance: 0.05,
          figure: 'flat',
          source: `V_CC less V_BE and the base current's drop in RC: ${LOAD_LINE}`,
        },
      },
      low: { parts: ['Q1'], events: ['saturates'] },
      stretches: [
        { part: 'Q1', state: 'off', half: 'negative', blamed: ['Q1'], events: ['cuts-off'] },
        { part: 'Q1', state: 'saturated', half: 'positive', blamed: ['Q1'], events: ['saturates'] },
      ],
      note: 'The follower repeats what the gain stage has clipped, and is innocent.',
    },
    {
      name: 'gain stage and follower, not overdriven',
      sheet: make(47e3, '0.6 V'),
      innocent: ['Q2'],
      clipsAtDrive: false,
      high: { parts: ['Q1'], events: ['cuts-off'] },
      low: { parts: ['Q1'], events: ['saturates'] },
      note: '1.3 V peak, of some 4 V to be had.',
    },
    {
      name: 'gain stage and follower, heavy load',
      sheet: make(180, '1.4 V'),
      innocent: ['Q1'],
      clipsAtDrive: true,
      low: {
        parts: ['Q2'],
        events: ['cuts-off'],
        level: { volts: (-rest * heavy) / (re2 + heavy), tolerance: 0.004, figure: 'flat', source: `V_E R_L/(R_E + R_L): ${LOAD_LINE}` },
      },
      stretches: [{ part: 'Q2', state: 'off', half: 'positive', blamed: ['Q2', 'C2'], events: ['cuts-off', 'holds'] }],
      note: 'The same circuit, another culprit: downwards the follower lets go long before the gain stage saturates.',
    },
  ];
}

function longTailRows(): CauseRow[] {
  const [rc, rt] = [6200, 7500];
  const make = (kind: 'npn' | 'pnp', degeneration: number, amplitude: string) => {
    const [collectorRail, tailRail] = kind === 'npn' ? ['vpos', 'vneg'] : ['vneg', 'vpos'];
    const device = kind === 'npn' ? 'q-small' : 'p-small';
    const emitters = degeneration > 0 ? ['e1', 'e2'] : ['tail', 'tail'];
    return sheetText({
      title: `Two pools compared, ${kind}`,
      supplies: 'vpos: 7 V, vneg: -7 V',
      parts: [
        Q('Q1', device, 'c1', 'in', emitters[0]!),
        Q('Q2', device, 'out', 'b2', emitters[1]!),
        R('R2', 100, 'b2', 'gnd'),
        R('RC1', rc, collectorRail, 'c1'),
        R('RC2', rc, collectorRail, 'out'),
        R('RT', rt, 'tail', tailRail),
        ...(degeneration > 0 ? [R('RE1', degeneration, 'e1', 'tail'), R('RE2', degeneration, 'e2', 'tail')] : []),
      ],
      drive: `node: in, sourceResistance: 100, waveform: triangle, peakToPeak: ${amplitude}, frequency: 60 Hz`,
      output: 'out',
      loads: 'none: open',
    });
  };
  const { beta } = DEVICE['q-small'];
  let tail = 8e-4;
  for (let turn = 0; turn < 100; turn++) tail = (7 - junction('q-small', tail / 2)) / rt;
  const whole = ((tail * beta) / (beta + 1)) * rc;
  const rest = 7 - whole / 2;
  // Slope goes with sech^2(v/2V_T), half where tanh is 1/sqrt 2; in that direction the tail changes by some tens of mV.
  const room = whole / 2 / Math.SQRT2;
  const source = `I_tail R_C tanh(v/2V_T)/2: Gray, Hurst, Lewis and Meyer, 5th ed. 3.5, from memory; ${EBERS_MOLL}`;
  return [
    {
      name: 'long-tailed pair',
      sheet: make('npn', 0, '400 mV'),
      innocent: [],
      clipsAtDrive: true,
      high: { parts: ['Q2'], events: ['fades'], level: { volts: rest + room, tolerance: 0.04, figure: 'limit', source } },
      low: { parts: ['Q1'], events: ['fades'], level: { volts: rest - room, tolerance: 0.04, figure: 'limit', source } },
      note: 'Whichever half is losing the tail current fades; there is no corner.',
    },
    {
      name: 'long-tailed pair, small drive',
      sheet: make('npn', 0, '8 mV'),
      innocent: [],
      clipsAtDrive: false,
      high: { parts: ['Q2'], events: ['fades'] },
      low: { parts: ['Q1'], events: ['fades'] },
      note: '4 mV is 0.16 V_T: a third of a percent off the straight line.',
    },
    {
      name: 'PNP long-tailed pair',
      sheet: make('pnp', 0, '400 mV'),
      innocent: [],
      clipsAtDrive: true,
      low: { parts: ['Q2'], events: ['fades'] },
      high: { parts: ['Q1'], events: ['fades'] },
      note: 'Polarity mirrored.',
    },
    {
      name: 'long-tailed pair with emitter resistors',
      sheet: make('npn', 1000, '4 V'),
      innocent: [],
      clipsAtDrive: true,
      high: {
        parts: ['Q2'],
        events: ['cuts-off'],
        level: { volts: 7, tolerance: 0.06, figure: 'flat', source: `all of the tail in Q1: ${LOAD_LINE}` },
      },
      low: { parts: ['Q1'], events: ['cuts-off'] },
      note: 'With 1 kohm in each emitter the losing half has a corner and is off at it.',
    },
  ];
}

function otherRows(): CauseRow[] {
  const base = sheetText({
    title: 'Common base behind a long cable',
    supplies: 'vcc: 12 V',
    parts: [
      R('R1', 39e3, 'vcc', 'base'),
      R('R2', 15e3, 'base', 'gnd'),
      C('C1', '100u', 'base', 'gnd'),
      R('RI', 470, 'line', 'em'),
      C('C2', '220u', 'in', 'line'),
      Q('Q1', 'q-small', 'out', 'base', 'em'),
      R('RE', 2200, 'em', 'gnd'),
      R('RC', 3300, 'vcc', 'out'),
    ],
    drive: 'node: in, sourceResistance: 75, waveform: sine, peakToPeak: 3 V, frequency: 1 kHz',
    output: 'out',
    loads: 'none: open',
  });
  const mirror = sheetText({
    title: 'PNP mirror that copies the bias current',
    supplies: 'vcc: 12 V',
    parts: [
      Q('Q1', 'p-small', 'ref', 'ref', 'vcc'),
      Q('Q2', 'p-small', 'out', 'ref', 'vcc'),
      R('RREF', 10e3, 'ref', 'in'),
      R('RL', 4700, 'out', 'gnd'),
    ],
    drive: 'node: in, sourceResistance: 50, waveform: sine, peakToPeak: 4 V, frequency: 100 Hz',
    output: 'out',
    loads: 'none: open',
  });
  const lamp = sheetText({
    title: 'Flood lamp switch',
    supplies: 'vcc: 12 V',
    parts: [
      R('RB', 10e3, 'in', 'base'),
      R('R2', 47e3, 'base', 'gnd'),
      Q('Q1', 'q-small', 'out', 'base', 'gnd'),
      R('RC', 2200, 'vcc', 'out'),
    ],
    drive: 'node: in, sourceResistance: 50, waveform: sine, peakToPeak: 6 V, frequency: 50 Hz',
    output: 'out',
    loads: 'none: open',
  });
  return [
    {
      name: 'common base',
      sheet: base,
      innocent: [],
      clipsAtDrive: true,
      high: { parts: ['Q1'], events: ['cuts-off'], level: { volts: 12, tolerance: 0.06, figure: 'flat', source: LOAD_LINE } },
      low: { parts: ['Q1'], events: ['saturates'] },
      stretches: [{ part: 'Q1', state: 'off', half: 'positive', blamed: ['Q1'], events: ['cuts-off'] }],
      note: 'Driven up at the emitter, an NPN is driven off.',
    },
    {
      name: 'mirror into its rail',
      sheet: mirror,
      innocent: [],
      clipsAtDrive: false,
      high: { parts: ['Q2'], events: ['saturates'], level: { volts: 12 - 0.1, tolerance: 0.12, figure: 'limit', source: SATURATION } },
      note: 'The output half meets the rail; the input half goes on.',
    },
    {
      name: 'switch that is off at rest',
      sheet: lamp,
      innocent: [],
      clipsAtDrive: true,
      low: { parts: ['Q1'], events: ['saturates'], level: { volts: 0.15, tolerance: 0.2, figure: 'limit', source: SATURATION } },
      note: 'The quiescent slope is nil; the range in which it conducts ends in saturation.',
    },
  ];
}

export const gainRows = (): CauseRow[] => [...commonEmitterRows(), ...chainRows(), ...longTailRows(), ...otherRows()];
