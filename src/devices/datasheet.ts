/**
 * Figures of a data sheet, from which the program fits parameters (`fit.ts`). Under a sheet's `devices` they stand in
 * `datasheet:`; parameters given beside it are held at their values. All figures are magnitudes, for both polarities,
 * at a junction temperature of 25 degrees Celsius.
 *
 * ```yaml
 * devices:
 *   q-buffer:
 *     npn:
 *       datasheet:
 *         currentGain:
 *           - { collectorCurrent: 1 mA, collectorEmitterVoltage: 5 V, value: 180 }
 *           - { collectorCurrent: 100 mA, collectorEmitterVoltage: 5 V, value: 120 }
 *         baseEmitterVoltage:
 *           - { collectorCurrent: 2 mA, collectorEmitterVoltage: 5 V, value: 0.66 V }
 *         saturationVoltage:
 *           - { collectorCurrent: 100 mA, baseCurrent: 5 mA, value: 0.2 V }
 *         transitionFrequency: { collectorCurrent: 10 mA, collectorEmitterVoltage: 5 V, value: 200 MHz }
 *         collectorCapacitance: [ { reverseVoltage: 10 V, value: 3 pF } ]
 *       earlyVoltage: 90 V
 * ```
 */
import type { BipolarRatings, DiodeRatings } from './parameters.ts';

/** A figure at a collector current and a collector-emitter voltage. */
export interface ActivePoint {
  collectorCurrent: number; // A
  collectorEmitterVoltage: number; // V
  /** h_FE, volts or hertz, by the key it stands under. */
  value: number;
  source?: string;
}

/** A figure of a transistor driven into saturation. */
export interface SaturationPoint {
  collectorCurrent: number; // A
  baseCurrent: number; // A
  value: number; // V
  source?: string;
}

/** A junction capacitance at a reverse voltage. */
export interface CapacitancePoint {
  reverseVoltage: number; // V
  value: number; // F
  source?: string;
}

/** Data-sheet figures of a bipolar transistor. */
export interface BipolarDatasheet {
  /** h_FE against I_C: at least one point. */
  currentGain: ActivePoint[];
  /** V_BE in the active region: at least one point, here or under `saturationBaseVoltage`. */
  baseEmitterVoltage?: ActivePoint[];
  /** V_CE(sat). */
  saturationVoltage?: SaturationPoint[];
  /** V_BE(sat). */
  saturationBaseVoltage?: SaturationPoint[];
  /** f_T, Hz. */
  transitionFrequency?: ActivePoint;
  /** Emitter-base capacitance with the collector open. */
  emitterCapacitance?: CapacitancePoint[];
  /** Collector-base capacitance with the emitter open. */
  collectorCapacitance?: CapacitancePoint[];
  /** R_thJA and R_thJC, K/W. */
  thermalResistance?: number;
  caseThermalResistance?: number;
  /** Least and greatest h_FE at the first point of `currentGain`, for `spread`. */
  gainRange?: [number, number];
  ratings?: BipolarRatings;
  /** Where the figures are from, in words. */
  source?: string;
}

/** A forward voltage of a diode. */
export interface ForwardPoint {
  current: number; // A
  value: number; // V
  source?: string;
}

/** Data-sheet figures of a diode. */
export interface DiodeDatasheet {
  /** V_F against I_F: at least one point; two settle the ideality, three the series resistance. */
  forwardVoltage: ForwardPoint[];
  capacitance?: CapacitancePoint[];
  /** Reverse recovery time, s, from a forward current to a reverse one (magnitudes). */
  recoveryTime?: { forwardCurrent: number; reverseCurrent: number; value: number; source?: string };
  /** Breakdown voltage at a reverse current. */
  breakdown?: { current: number; value: number; source?: string };
  thermalResistance?: number; // K/W
  caseThermalResistance?: number; // K/W
  ratings?: DiodeRatings;
  source?: string;
}
