/** What a row of the cause table says: a stage, and the part and event that an engineer expects at each end of its swing. */
import type { CauseEvent, Region } from '../../src/answers/types.ts';

export interface Level {
  /** Output voltage. */
  volts: number;
  tolerance: number;
  /** Which of the swing's two figures the closed form gives. */
  figure: 'limit' | 'flat';
  /** Where the form comes from. */
  source: string;
}
export interface ExpectedCause {
  /** Every part that must be blamed. With two, the cause is likely, not proven, and both have their share. */
  parts: string[];
  /** Events that the definition allows; one, save where two thresholds lie near each other. */
  events: CauseEvent[];
  level?: Level;
}
export interface ExpectedStretch {
  part: string;
  state: Region;
  /** Half of the generator's period in which its middle lies. */
  half: 'positive' | 'negative' | 'either';
  /** Any of these may be named; null where nothing is to be blamed. */
  blamed: string[] | null;
  events: CauseEvent[];
  /** The level that the output holds there. */
  level?: { volts: number; tolerance: number; source: string };
}
export interface CauseRow {
  name: string;
  /** The sheet's text. */
  sheet: string;
  /** Load to connect; the first where absent. */
  load?: string;
  /** Absent: not judged. Null: no limit within the range. */
  high?: ExpectedCause | null;
  low?: ExpectedCause | null;
  deadZone?: { from: number; to: number; tolerance: number; source: string };
  /** Parts that must not be named for either limit. */
  innocent: string[];
  /** False: at its own drive the output stays within 2 % of the small-signal response, and nothing may be blamed. */
  clipsAtDrive: boolean;
  stretches?: ExpectedStretch[];
  note: string;
}

export const LOAD_LINE = 'load-line argument, any textbook (from memory)';
export const SATURATION = 'rail less V_CE(sat); Sedra and Smith, Microelectronic Circuits, 6th ed. ch. 6 and 11, from memory';
export const EBERS_MOLL = 'Ebers and Moll, Proc. IRE 42:1761-1772 (1954)';

const DEVICES = `devices:
  q-small: { npn: { saturationCurrent: 1.2e-14, forwardBeta: 200, reverseBeta: 4 } }
  p-small: { pnp: { saturationCurrent: 1e-14, forwardBeta: 180, reverseBeta: 4 } }
  q-output: { npn: { saturationCurrent: 5e-14, forwardBeta: 110, reverseBeta: 6 } }
  p-output: { pnp: { saturationCurrent: 4e-14, forwardBeta: 95, reverseBeta: 5 } }
  q-guard: { npn: { saturationCurrent: 1.2e-14, forwardBeta: 200, reverseBeta: 4, emitterBreakdownVoltage: 6.2 V } }
  d-bias: { diode: { saturationCurrent: 3e-14, ideality: 1 } }
  d-clamp: { diode: { saturationCurrent: 4e-9, ideality: 1.8 } }
  d-reference: { diode: { saturationCurrent: 1e-14, ideality: 1.1, breakdownVoltage: 5.1 V } }
`;

interface SheetText {
  title: string;
  supplies: string;
  parts: string[];
  /** Inside of `drive`: node, resistance, amplitude and so on. */
  drive: string;
  output: string;
  loads?: string;
}
/** A sheet's text around its parts. */
export const sheetText = (s: SheetText): string =>
  `footroom: 1\ntitle: ${s.title}\n${s.supplies === '' ? '' : `supplies: { ${s.supplies} }\n`}${DEVICES}parts:\n${s.parts.map((part) => `  ${part}\n`).join('')}` +
  `drive: { ${s.drive} }\noutput: ${s.output}\n${s.loads === undefined ? '' : `loads: { ${s.loads} }\n`}`;
export const R = (name: string, ohms: number, from: string, to: string): string =>
  `${name}: { resistor: ${ohms}, from: ${from}, to: ${to} }`;
export const C = (name: string, farads: string, from: string, to: string): string =>
  `${name}: { capacitor: ${farads}, from: ${from}, to: ${to} }`;
export const Q = (name: string, device: string, collector: string, base: string, emitter: string): string =>
  `${name}: { ${device.startsWith('p') ? 'pnp' : 'npn'}: ${device}, collector: ${collector}, base: ${base}, emitter: ${emitter} }`;
export const D = (name: string, device: string, anode: string, cathode: string): string =>
  `${name}: { diode: ${device}, anode: ${anode}, cathode: ${cathode} }`;
