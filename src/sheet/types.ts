/**
 * A sheet as a value: everything the contract `sheet.md` lets an author say, read, checked and in SI units
 * (temperatures in kelvin, shares from 0 to 1), with defaults filled in. How it was written is the document's matter.
 */
import type { BipolarParameters, Device, DiodeParameters, Polarity } from '../devices/parameters.ts';

/** Name of a node as written; `gnd` is ground. */
export type NodeName = string;
export const GROUND: NodeName = 'gnd';

export interface Ripple {
  peakToPeak: number; // V
  frequency: number; // Hz
}

/** A source from `node` to ground. */
export interface Supply {
  node: NodeName;
  volts: number;
  resistance: number; // ohm, 0: ideal
  inductance: number; // H, 0: none
  tolerance?: number;
  ripple?: Ripple;
}

/** Thiele's electrical equivalent of a loudspeaker. */
export interface Loudspeaker {
  resistance: number; // R_e, ohm
  inductance: number; // L_e, H
  resonance?: number; // f_0, Hz
  mechanicalQ?: number;
  electricalQ?: number;
  sensitivity?: number; // dB
}

interface PartBase {
  /** Designator: the key under `parts`. */
  name: string;
  /** Bench verb `lift`: its terminals are open. The part keeps its place on the drawing. */
  lifted?: boolean;
  /** Bench verb `short`: its terminals (of a transistor: collector and emitter) are joined by an exact link. */
  shorted?: boolean;
}
export interface Resistor extends PartBase {
  kind: 'resistor';
  resistance: number;
  from: NodeName;
  to: NodeName;
  tolerance?: number;
  power?: number; // W, rating
}
export interface Trimmer extends PartBase {
  kind: 'trimmer';
  resistance: number;
  from: NodeName;
  to: NodeName;
  wiper: NodeName;
  /** Share of the way from `from`, 0 to 1. */
  position: number;
  power?: number;
}
export interface Capacitor extends PartBase {
  kind: 'capacitor';
  capacitance: number;
  from: NodeName;
  to: NodeName;
  tolerance?: number;
  polarized: boolean;
  rating?: number; // V
  seriesResistance: number; // ohm, 0: none
  /** Direct current at the rating, A; 0: none. */
  leakage: number;
}
export interface Inductor extends PartBase {
  kind: 'inductor';
  inductance: number;
  from: NodeName;
  to: NodeName;
  seriesResistance: number;
  rating?: number; // A
}
export interface Transistor extends PartBase {
  kind: Polarity;
  /** Name of the device as written. */
  device: string;
  parameters: BipolarParameters;
  collector: NodeName;
  base: NodeName;
  emitter: NodeName;
  area: number;
  heatSink?: string;
}
export interface Diode extends PartBase {
  kind: 'diode';
  device: string;
  parameters: DiodeParameters;
  anode: NodeName;
  cathode: NodeName;
  area: number;
  heatSink?: string;
}
export interface VoltageSource extends PartBase {
  kind: 'voltage';
  volts: number;
  from: NodeName;
  to: NodeName;
  resistance: number;
}
export interface CurrentSource extends PartBase {
  kind: 'current';
  amperes: number;
  from: NodeName;
  to: NodeName;
}
export interface SpeakerPart extends PartBase {
  kind: 'speaker';
  speaker: Loudspeaker;
  from: NodeName;
  to: NodeName;
}
export type Part = Resistor | Trimmer | Capacitor | Inductor | Transistor | Diode | VoltageSource | CurrentSource | SpeakerPart;
export type PartKind = Part['kind'];

export type DriveWaveform = 'sine' | 'triangle' | 'square' | 'none';
export interface Drive {
  node: NodeName;
  sourceResistance: number; // ohm, default 50
  waveform: DriveWaveform;
  /** Amplitude of the alternating part, V, in the form the author chose; absent with `none`. */
  amplitude?: { form: 'peakToPeak' | 'peak' | 'rms'; volts: number };
  /** True with `at: node`: the amplitude is meant as measured at the node. */
  atNode: boolean;
  offset: number; // V
  frequency?: number; // Hz
  /** Square only, s; default 1/1000 of the period. */
  riseTime?: number;
}

export interface Load {
  name: string;
  /** True for `open`. */
  open: boolean;
  resistor?: number;
  capacitor?: number;
  inductor?: number;
  series: boolean;
  speaker?: Loudspeaker;
  sensitivity?: number; // dB sound pressure level at 1 mW
  cable?: { length: number; capacitancePerMetre: number };
  /** Where the load returns to, default ground. */
  to: NodeName;
}

export interface Bound {
  atLeast?: number;
  atMost?: number;
}
export type TargetName =
  | 'outputPeakToPeak'
  | 'distortion'
  | 'lowCorner'
  | 'highCorner'
  | 'inputImpedance'
  | 'outputImpedance'
  | 'standingCurrent'
  | 'supplyPower'
  | 'junctionTemperature';

/** One stage. */
export interface Sheet {
  title: string;
  notes: string;
  ambient: number; // K
  supplies: Supply[];
  parts: Part[];
  devices: Device[];
  heatSinks: { name: string; thermalResistance: number }[];
  drive?: Drive;
  output?: NodeName;
  loads: Load[];
  /** The load connected now; undefined where the sheet lists none (the output is open). */
  load?: string;
  targets: Partial<Record<TargetName, Bound>>;
  series: { resistors: string; capacitors: string };
  drawer?: string[];
  spread: { ambient?: [number, number]; frequency?: [number, number]; [path: string]: [number, number] | undefined };
  readings?: { meter: number; nodes: Record<NodeName, number> };
  captures: CaptureEntry[];
  lesson?: unknown;
}

export interface CaptureEntry {
  file: string;
  time?: string | number;
  traces: {
    column: string | number;
    node: NodeName;
    attenuation: number;
    coupling: 'direct' | 'alternating';
    probe?: { resistance: number; capacitance: number };
  }[];
  trigger?: unknown;
}

/** Place in the text, both counted from 1. */
export interface Place {
  line: number;
  column: number;
}

/** One thing wrong with a sheet: its place, and a sentence that says what and what would be right. */
export interface Problem {
  severity: 'error' | 'warning';
  /** Stable key for tests and links, kebab-case: `unknown-key`, `wrong-unit`, ... */
  code: string;
  /** Dotted path into the sheet: `parts.R3.resistor`. */
  path: string;
  place: Place;
  sentence: string;
  /** The bench verb or option that brought it about, as typed; `place` then counts within its value. */
  option?: string;
}
