/**
 * What an answer assumed and what it warns about, as data. The words layer turns each into one sentence; no sentence is
 * ever read back. All figures SI; temperatures in °C, as in the answers.
 */

/** What was taken for granted. */
export type AssumptionNote =
  /** `--isothermal`: every junction at ambient, self-heating left out. */
  | { kind: 'isothermal'; ambient: number }
  /** These have no thermal resistance in the sheet, so they stay at ambient. */
  | { kind: 'junctions-at-ambient'; parts: string[]; ambient: number }
  | { kind: 'self-heating'; parts: string[]; ambient: number }
  /** Swing and impedance: junctions keep the temperatures of the quiescent point. */
  | { kind: 'junctions-as-at-rest' }
  /** A run from switch-on: junctions stay at ambient, everything starts discharged. */
  | { kind: 'starts-discharged'; ambient: number }
  | { kind: 'load-open' }
  /** Swing: capacitors at their quiescent voltage, inductors at their quiescent current. */
  | { kind: 'held'; parts: string[] }
  /** Swing: nearer open than short at the drive frequency (an inductor: nearer short than open). */
  | { kind: 'left-out'; parts: string[]; frequency: number }
  | { kind: 'charges-left-out' }
  | { kind: 'nominal-values' }
  /** Values of a built-in class or type, of no single specimen. */
  | { kind: 'typical-device'; device: string; parts: string[] }
  | { kind: 'small-signal' }
  /** Impedance: the drive's resting offset stands, and the small-signal figures hold for outputs smaller than `volts`. */
  | { kind: 'small-signal-bound'; volts: number }
  /** `at: node`: the electromotive force, peak to peak, that was found to give the amplitude asked for. */
  | { kind: 'amplitude-at-node'; node: string; peakToPeak: number }
  | { kind: 'search'; starts: number; solutions: number };

/** What a person should mind. */
export type WarningNote =
  | { kind: 'reversed-capacitor'; part: string; volts: number; when: 'rest' | 'period' | 'switch-on' }
  | { kind: 'capacitor-over-rating'; part: string; volts: number; rating: number }
  /** Held although it hardly passes the drive frequency. */
  | { kind: 'below-corner'; part: string; frequency: number }
  | { kind: 'both-directions-same-way' }
  /** Where the sheet's capacitances tell nothing, with the stray ones of `solve/stability.ts` at every node. */
  | { kind: 'right-half-plane-pole' /** Hz; null: it grows without ringing. */; frequency: number | null /** s */; timeConstant: number }
  | { kind: 'drive-harmonics'; waveform: 'triangle' | 'square'; departure: number | null }
  | { kind: 'beyond-rating'; part: string; rating: RatingName; value: number; limit: number }
  | { kind: 'several-resting-points'; count: number }
  | { kind: 'hot'; part: string; temperature: number }
  /** Above the extra-low limit of IEC 61140 (60 V direct, ripple-free). */
  | { kind: 'above-extra-low'; volts: number }
  | { kind: 'direct-current-in-speaker'; load: string; amperes: number }
  | { kind: 'loud'; load: string /** dB sound pressure level */; level: number }
  | { kind: 'no-limit-found'; side: 'high' | 'low'; drive: number }
  | { kind: 'did-not-converge'; points: number; of: number }
  | { kind: 'model-limit'; part: string; what: 'knee' | 'breakdown' };

export type Note = AssumptionNote | WarningNote;

export type RatingName =
  | 'collectorEmitterVoltage'
  | 'collectorBaseVoltage'
  | 'emitterBaseVoltage'
  | 'collectorCurrent'
  | 'dissipation'
  | 'junctionTemperature'
  | 'power'
  | 'current'
  | 'reverseVoltage';

const ASSUMPTIONS: ReadonlySet<Note['kind']> = new Set<AssumptionNote['kind']>([
  'isothermal',
  'junctions-at-ambient',
  'self-heating',
  'junctions-as-at-rest',
  'starts-discharged',
  'load-open',
  'held',
  'left-out',
  'charges-left-out',
  'nominal-values',
  'typical-device',
  'small-signal',
  'small-signal-bound',
  'amplitude-at-node',
  'search',
]);

export function isAssumption(note: Note): note is AssumptionNote {
  return ASSUMPTIONS.has(note.kind);
}

/** Why a sound sheet has no answer to a question (exit status 1), as data. */
export type Failure =
  | { kind: 'no-resting-point'; starts: number; tried: Attempt[] }
  | { kind: 'floats'; nodes: string[] }
  /** Sources and shorts form a ring in which nothing resists. */
  | { kind: 'loops'; things: string[]; nodes: string[] }
  | { kind: 'no-drive'; needs: 'drive' | 'frequency' | 'amplitude' }
  | { kind: 'no-output' }
  /** The periodic solution exists but does not hold. `frequency` null where it divides the drive's or grows without ringing. */
  | { kind: 'oscillates'; frequency: number | null; multiplier: number; timeConstant: number | null }
  | { kind: 'not-settled'; residual: number; tried: Attempt[] }
  | { kind: 'runs-away'; parts: string[] }
  | { kind: 'did-not-converge'; at: { quantity: 'time' | 'drive' | 'frequency'; value: number } | null; tried: Attempt[] };

/** One thing that was tried before giving up. */
export type Attempt =
  | { kind: 'starts'; count: number }
  | { kind: 'ramp'; steps: number }
  | { kind: 'shooting'; iterations: number }
  | { kind: 'long-run'; periods: number }
  | { kind: 'shorted'; part: string; worked: boolean }
  | { kind: 'lifted'; part: string; worked: boolean };
