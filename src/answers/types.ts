/** The JSON contract of the answers (format 1), as types. All SI; angles in degrees, temperatures in °C. */
import type { BipolarRegion } from '../devices/state.ts';
import type { LedgerLine } from '../explain/pencil/line.ts';
import type { Cause } from '../explain/types.ts';
import type { Failure, Note } from './notes.ts';

export type Question = 'quiescent' | 'swing' | 'impedance' | 'waveform';

export type { LedgerLine, LedgerRemark, Omitted, Rule } from '../explain/pencil/line.ts';
/** A line of the ledger, with what a capture measured and, by the words layer, why rule and figure part. */
export interface LedgerEntry extends LedgerLine {
  measured?: number;
  reason?: string;
}

export interface AnswerBase {
  question: Question;
  format: 1;
  title: string;
  load: string | null;
  /** What was assumed and what to mind, as data; the words layer turns it into `assumptions` and `warnings`. */
  notes: Note[];
  assumptions: string[];
  warnings: string[];
  ledger: LedgerEntry[];
  /** Asked to be brief: what takes longer is left out (clean output, ledger, help, further resting points, what relief would bring). */
  brief?: true;
  /** One to three sentences that answer the question, figures as in this object. */
  sentences: string[];
}

export type Region = BipolarRegion;

export interface TransistorFigures {
  region: Region;
  collectorCurrent: number;
  baseCurrent: number;
  emitterCurrent: number;
  baseEmitterVoltage: number;
  collectorEmitterVoltage: number;
  beta: number | null;
  transconductance: number;
  emitterResistance: number | null;
  dissipation: number;
  junctionTemperature: number;
  role: { name: string; sentence: string };
}
export interface TwoTerminalFigures {
  voltage: number;
  current: number;
  dissipation: number;
  /** Diodes only. */
  region?: Region;
  junctionTemperature?: number;
}
export interface QuiescentAnswer extends AnswerBase {
  question: 'quiescent';
  nodes: Record<string, number>;
  parts: Record<string, TransistorFigures | TwoTerminalFigures>;
  supplies: Record<string, { current: number; power: number }>;
  otherSolutions: { nodes: Record<string, number>; stable: boolean }[];
  /** What was tried to find further solutions. */
  search: string;
}

export type { Cause, CauseEvent, Evidence } from '../explain/types.ts';
export interface HelpChange {
  /** Dotted path of a quantity, as `set` takes it, and its new value, SI. */
  path: string;
  value: number;
  /** The base's divider, made stiffer along with the rest. */
  divider?: true;
}
/** What would help against a limit: values set, and where that moves it, as a fresh question about the changed sheet tells. */
export interface Help {
  verbs: HelpChange[];
  /** What `before` and `after` are, V of output: the limit's flat, or the limit itself. */
  figure: 'flat' | 'limit';
  before: number;
  after: number;
  /** Whether that is as far as the target or the present drive asks, whichever asks for more. */
  enough: boolean;
  /** Written by the words layer. */
  sentence: string;
}
export interface SwingLimit {
  volts: number;
  room: number;
  drive: number;
  flat: { volts: number; room: number } | null;
  rating?: { part: string; rating: string; volts: number; drive: number };
  cause: Cause;
  /** Null where nothing more is asked for or no value of the sheet helps; absent where help was not asked for. */
  help?: Help | null;
}
export interface SwingAnswer extends AnswerBase {
  question: 'swing';
  quiescentOutput: number;
  high: SwingLimit | null;
  low: SwingLimit | null;
  clean: { peakToPeak: number; drive: number; distortion: number } | null;
  conducts: { from: number; to: number; outputFrom: number; outputTo: number }[] | null;
  deadZone: { from: number; to: number } | null;
  held: string[];
  leftOut: string[];
  curve: { drive: number[]; output: number[] };
}

export interface Phasor {
  magnitude: number | null;
  phase: number | null;
}
export interface PhasorCurve {
  magnitude: (number | null)[];
  phase: (number | null)[];
}
export interface ImpedanceAnswer extends AnswerBase {
  question: 'impedance';
  frequency: number;
  gain: Phasor;
  overallGain: Phasor;
  inputImpedance: Phasor;
  outputImpedance: Phasor;
  lowCorner: number | null;
  highCorner: number | null;
  curve: { frequency: number[]; gain: PhasorCurve; overallGain: PhasorCurve; inputImpedance: PhasorCurve; outputImpedance: PhasorCurve };
}

export interface Measures {
  mean: number;
  minimum: number;
  maximum: number;
  peakToPeak: number;
  rms: number;
}
export interface Stretch {
  part: string;
  state: Region;
  from: number;
  to: number;
  cause: Cause | null;
}
export interface WaveformPartFigures {
  meanDissipation: number;
  peakDissipation: number;
  junctionTemperature: number;
  peakCollectorCurrent?: number;
}
export interface WaveformAnswer extends AnswerBase {
  question: 'waveform';
  period: number | null;
  settled: boolean;
  /** Of a run from rest. */
  duration?: number;
  time: number[];
  nodes: Record<string, number[]>;
  /** Terminal currents of every part at the same instants: two-terminal `[from→to]`, transistors collector, base, emitter. */
  currents?: Record<string, number[] | { collector: number[]; base: number[]; emitter: number[] }>;
  measures: Record<string, Measures>;
  spectrum?: {
    fundamental: Phasor;
    harmonics: number[];
    distortion: { relativeToFundamental: number | null; relativeToTotal: number | null; departure?: number | null };
  };
  stretches: Stretch[];
  /** Against the cause of the longest stretch, with the static figure that swing gives; absent where it was not asked for. */
  help?: Help | null;
  turnedOn: { part: string; from: number; to: number; cause: Cause | null }[];
  parts: Record<string, WaveformPartFigures>;
  supplies: Record<string, { meanCurrent: number; meanPower: number }>;
  outputPower: number | null;
  efficiency: number | null;
  /** Largest multiplier of the period in magnitude: below 1 the waveform settles. */
  multiplier?: number;
}

export type Answer = QuiescentAnswer | SwingAnswer | ImpedanceAnswer | WaveformAnswer;

/** A sound sheet on which the question has no answer: exit status 1. */
export interface NoAnswer {
  question: Question;
  format: 1;
  title: string;
  /** Why, as data; the words layer writes `error` and `tried` from it. */
  failure: Failure;
  error: string;
  tried: string[];
  notes: Note[];
  warnings: string[];
}

/** Options of `ask`, one object for command line, page and library; numbers SI. */
export interface AskOptions {
  /** All junctions at ambient. */
  isothermal?: boolean;
  /** quiescent: also the other points at which the stage could rest; default true. */
  search?: boolean;
  /** swing and waveform: also what would help, by asking changed circuits; default true. */
  help?: boolean;
  /** While a knob turns: the same figures to 1e-4 of each node's scale, without what takes longer; default false. */
  brief?: boolean;
  /** impedance */
  frequency?: number;
  from?: number;
  to?: number;
  points?: number;
  /** waveform */
  samples?: number;
  harmonics?: number;
  fromRest?: boolean;
  duration?: number;
}
