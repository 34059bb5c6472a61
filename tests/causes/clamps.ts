/** Clamps and junctions that break down or turn on, and waveforms in which a capacitor holds. */
import { BREAKDOWN_AT_10_MICROAMPERES, D_CLAMP, DEVICE, EMITTER_BREAKDOWN, VT } from './closed-forms.ts';
import { C, type CauseRow, D, EBERS_MOLL, LOAD_LINE, Q, R, sheetText } from './row.ts';

const SERIES = 1000;
const onTurn = `clamp's slope resistance equal to the source's: ${EBERS_MOLL}`;
const clampSheet = (title: string, parts: string[], amplitude: string) =>
  sheetText({
    title,
    supplies: 'vpos: 12 V, vneg: -12 V',
    parts: [R('R1', SERIES, 'in', 'node'), ...parts, Q('Q1', 'q-small', 'vpos', 'node', 'out'), R('RE', 10e3, 'out', 'vneg')],
    drive: `node: in, sourceResistance: 0, waveform: sine, peakToPeak: ${amplitude}, frequency: 250 Hz`,
    output: 'node',
    loads: 'none: open',
  });
/** Voltage at which `count` equal clamp diodes in series, `branches` times side by side, halve the slope behind SERIES. */
const clampVolts = (count: number, branches: number): number => {
  const nVt = D_CLAMP.ideality * VT;
  const i = (count * nVt) / SERIES / branches;
  return count * nVt * Math.log(i / D_CLAMP.saturationCurrent + 1);
};

function clampRows(): CauseRow[] {
  return [
    {
      name: 'clamp diode at the input',
      sheet: clampSheet('Hydrophone input with a clamp', [D('D1', 'd-clamp', 'node', 'gnd')], '4 V'),
      innocent: ['Q1'],
      clipsAtDrive: true,
      high: { parts: ['D1'], events: ['turns-on'], level: { volts: clampVolts(1, 1), tolerance: 0.012, figure: 'limit', source: onTurn } },
      stretches: [],
      note: 'The diode is off at rest, so what it does is to turn on.',
    },
    {
      name: 'clamp diodes both ways',
      sheet: clampSheet(
        'Hydrophone input, clamped both ways',
        [D('D1', 'd-clamp', 'node', 'gnd'), D('D2', 'd-clamp', 'gnd', 'node')],
        '4 V',
      ),
      innocent: ['Q1'],
      clipsAtDrive: true,
      high: { parts: ['D1'], events: ['turns-on'], level: { volts: clampVolts(1, 1), tolerance: 0.012, figure: 'limit', source: onTurn } },
      low: { parts: ['D2'], events: ['turns-on'], level: { volts: -clampVolts(1, 1), tolerance: 0.012, figure: 'limit', source: onTurn } },
      note: 'Each direction has its own.',
    },
    {
      name: 'clamp diodes both ways, small drive',
      sheet: clampSheet(
        'Hydrophone input, clamped both ways',
        [D('D1', 'd-clamp', 'node', 'gnd'), D('D2', 'd-clamp', 'gnd', 'node')],
        '0.3 V',
      ),
      innocent: ['Q1'],
      clipsAtDrive: false,
      high: { parts: ['D1'], events: ['turns-on'] },
      low: { parts: ['D2'], events: ['turns-on'] },
      note: 'At 0.15 V a clamp takes 0.1 uA of the generator: off, and innocent of this waveform.',
    },
    {
      name: 'two clamp diodes in series',
      sheet: clampSheet(
        'Hydrophone input, clamped at two junctions',
        [D('D1', 'd-clamp', 'node', 'mid'), D('D2', 'd-clamp', 'mid', 'gnd')],
        '6 V',
      ),
      innocent: ['Q1'],
      clipsAtDrive: true,
      high: {
        parts: ['D1', 'D2'],
        events: ['turns-on'],
        level: { volts: clampVolts(2, 1), tolerance: 0.02, figure: 'limit', source: onTurn },
      },
      note: 'The clamp needs both; with either as it was before, there would be none.',
    },
    {
      name: 'two clamp diodes side by side',
      sheet: clampSheet('Hydrophone input, clamped twice', [D('D1', 'd-clamp', 'node', 'gnd'), D('D2', 'd-clamp', 'node', 'gnd')], '4 V'),
      innocent: ['Q1'],
      clipsAtDrive: true,
      high: {
        parts: ['D1', 'D2'],
        events: ['turns-on'],
        level: { volts: clampVolts(1, 2), tolerance: 0.012, figure: 'limit', source: onTurn },
      },
      note: 'Each takes half; neither alone is to blame (shares of 2/7).',
    },
    {
      name: 'reference diode across the input',
      sheet: clampSheet('Hydrophone input with a reference diode', [D('D1', 'd-reference', 'gnd', 'node')], '16 V'),
      innocent: ['Q1'],
      clipsAtDrive: true,
      high: {
        parts: ['D1'],
        events: ['breaks-down'],
        level: {
          volts: BREAKDOWN_AT_10_MICROAMPERES + VT * Math.log(VT / SERIES / 10e-6),
          tolerance: 0.015,
          figure: 'limit',
          source: 'breakdown of physics.md, slope V_T/i equal to the series resistor',
        },
      },
      low: { parts: ['D1'], events: ['turns-on'] },
      note: 'Upwards it breaks down, downwards it conducts.',
    },
    {
      name: 'emitter junction that breaks down',
      sheet: clampSheet('Hydrophone input guarded by a transistor', [Q('Q2', 'q-guard', 'gnd', 'gnd', 'node')], '18 V'),
      innocent: ['Q1'],
      clipsAtDrive: true,
      high: {
        parts: ['Q2'],
        events: ['breaks-down'],
        level: {
          volts: EMITTER_BREAKDOWN + VT * Math.log(VT / SERIES / 10e-6),
          tolerance: 0.015,
          figure: 'limit',
          source: 'breakdown of physics.md, slope V_T/i equal to the series resistor',
        },
      },
      low: {
        parts: ['Q2'],
        events: ['turns-on'],
        level: {
          volts: -VT * Math.log(VT / SERIES / DEVICE['q-small'].saturationCurrent),
          tolerance: 0.012,
          figure: 'limit',
          source: onTurn,
        },
      },
      note: 'Base and collector on ground: the emitter junction alone faces the signal.',
    },
  ];
}

function heldRows(): CauseRow[] {
  // The set of checks E15 and E16: emitter at 5.5 V, 2.2 kohm, 330 ohm through 100 uF, 2.4 V peak, 1 kHz.
  const pumped = sheetText({
    title: 'Line follower that pumps its capacitor up',
    supplies: 'vcc: 14 V',
    parts: [Q('Q1', 'q-small', 'vcc', 'in', 'out'), R('RE', 2200, 'out', 'gnd'), C('C2', '100u', 'out', 'jack')],
    drive: 'node: in, sourceResistance: 0, waveform: sine, peak: 2.4 V, offset: 6.1696 V, frequency: 1 kHz',
    output: 'jack',
    loads: 'line: { resistor: 330 }',
  });
  // E18, E19: 6 V, 1.2 kohm, 22 nF, 20 kHz, 4 V peak.
  const slow = sheetText({
    title: 'Follower into a long cable',
    supplies: 'vcc: 14 V',
    parts: [Q('Q1', 'q-small', 'vcc', 'in', 'out'), R('RE', 1200, 'out', 'gnd'), C('CL', '22n', 'out', 'gnd')],
    drive: 'node: in, sourceResistance: 0, waveform: sine, peak: 4 V, offset: 6.69 V, frequency: 20 kHz',
    output: 'out',
    loads: 'none: open',
  });
  const chain = sheetText({
    title: 'Gain stage, then a gain stage',
    supplies: 'vcc: 12 V',
    parts: [
      C('C1', '10u', 'in', 'b1'),
      R('R1', 82e3, 'vcc', 'b1'),
      R('R2', 15e3, 'b1', 'gnd'),
      Q('Q1', 'q-small', 'c1', 'b1', 'e1'),
      R('RC1', 3900, 'vcc', 'c1'),
      R('RE1', 820, 'e1', 'gnd'),
      C('C2', '10u', 'c1', 'b2'),
      R('R3', 27e3, 'vcc', 'b2'),
      R('R4', 47e3, 'b2', 'gnd'),
      Q('Q2', 'q-small', 'vcc', 'b2', 'out'),
      R('RE2', 1200, 'out', 'gnd'),
    ],
    drive: 'node: in, sourceResistance: 600, waveform: sine, peakToPeak: 4 V, frequency: 1 kHz',
    output: 'out',
    loads: 'none: open',
  });
  return [
    {
      name: 'coupling capacitor pumped up',
      sheet: pumped,
      innocent: [],
      clipsAtDrive: true,
      stretches: [
        {
          part: 'Q1',
          state: 'off',
          half: 'negative',
          blamed: ['Q1', 'C2'],
          events: ['holds', 'cuts-off'],
          // With an exponential device 0.8094 V (I_S = 1e-14, SciPy); the ideal device gives 0.8110 V. This set has I_S = 1.2e-14.
          level: {
            volts: -0.8094,
            tolerance: 0.006,
            source: 'peak catching, u(pi/2 + asin(u/A)) + sqrt(A^2 - u^2) over pi; derived, and SciPy DOP853 against Radau',
          },
        },
      ],
      note: 'The mean load current must be zero, so the capacitor stands 0.71 V above V_E and the lower level moves down.',
    },
    {
      name: 'cable capacitance that holds the peak',
      sheet: slow,
      innocent: [],
      clipsAtDrive: true,
      stretches: [{ part: 'Q1', state: 'off', half: 'either', blamed: ['CL', 'Q1'], events: ['holds'] }],
      note: 'Above 1.73 V peak the follower lets go on the falling side; the droop has R_E C_L = 26.4 us.',
    },
    {
      name: 'follower behind a stage that has clipped',
      sheet: chain,
      innocent: ['Q2'],
      clipsAtDrive: true,
      stretches: [
        { part: 'Q1', state: 'off', half: 'negative', blamed: ['Q1'], events: ['cuts-off'] },
        { part: 'Q1', state: 'saturated', half: 'positive', blamed: ['Q1'], events: ['saturates', 'clipped-upstream'] },
      ],
      high: { parts: ['Q1'], events: ['cuts-off'] },
      note: `What flattens at the output was flat before the follower: ${LOAD_LINE}.`,
    },
  ];
}

export const clampAndHeldRows = (): CauseRow[] => [...clampRows(), ...heldRows()];
