/** What may be typed: the questions, and options and changes as they come from the command line. */
import type { Question } from '../answers/types.ts';

/** The questions, in the order in which they are asked on a bench. */
export const QUESTIONS: Record<Question, string> = {
  quiescent: 'where does it sit with no signal?',
  swing: 'how far can the output go each way, and what stops it?',
  impedance: 'what do source and load see, and over which band?',
  waveform: 'what comes out with this drive, once settled or from switch-on?',
};

/** One change to the circuit as typed: the option without its dashes, and its value. */
export interface TypedChange {
  option: 'set' | 'load' | 'lift' | 'short' | 'tack' | 'insert' | 'swap';
  text: string;
}

/** Options of `ask` as commander gives them; quantities in SI. */
export interface TypedOptions {
  json?: boolean;
  isothermal?: boolean;
  frequency?: number;
  from?: number;
  to?: number;
  points?: number;
  samples?: number;
  harmonics?: number;
  fromRest?: boolean;
  duration?: number;
  figure?: string;
  against?: string;
  figureOf?: string[];
}
