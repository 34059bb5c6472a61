/**
 * The ranges from which the ten thousand test stages are drawn. They were fixed before the solver existed and are not
 * to be narrowed to suit it: a stage that does not converge is a fault of the solver.
 */
export const SEED = 0x71de_9001;
export const STAGES = 10_000;
/** Every fifth stage has feedback or latches. */
export const FEEDBACK_EVERY = 5;
export const MOST_TRANSISTORS = 30;

export const RANGES = {
  /** V, whole supply of a single rail, or each rail of a split one. */
  supply: [1.5, 60],
  splitShare: 0.4,
  /** Ohm: half of the stages draw every resistor from all six decades, whatever its place. */
  wildResistance: [1, 1e6],
  wildShare: 0.5,
  /** The others keep each resistor within this factor of a value a designer might choose. */
  tameFactor: [0.3, 3],
  saturationCurrent: [1e-17, 1e-11], // A
  forwardBeta: [20, 600],
  reverseBeta: [0.3, 20],
  ideality: [1, 1.15],
  earlyVoltage: [15, 250], // V
  reverseEarlyVoltage: [4, 40], // V
  forwardKneeCurrent: [1e-3, 3], // A
  reverseKneeCurrent: [1e-3, 1], // A
  /** Leakage current over saturation current. */
  leakageRatio: [0.1, 1e3],
  leakageIdeality: [1.3, 2.2],
  baseResistance: [1, 500], // ohm
  emitterResistance: [0.02, 3],
  collectorResistance: [0.05, 30],
  emitterBreakdownVoltage: [4.5, 9], // V
  diodeSaturationCurrent: [1e-16, 1e-8], // A
  diodeIdeality: [1, 2],
  diodeSeriesResistance: [0.01, 10], // ohm
  diodeBreakdownVoltage: [2.4, 100], // V
  area: [0.5, 10],
  ambient: [-20, 80], // °C
  /** Offset of the generator, as a share of the supply. */
  offsetShare: [-0.5, 1],
  sourceResistance: [10, 1e5],
  blocks: [2, 6],
} as const;
