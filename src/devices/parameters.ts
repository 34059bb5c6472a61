/**
 * What a device is, as numbers. Keys carry the textbook's quantity in words; the symbol stands beside each.
 * All values are SI; a missing key means that the effect is absent. Parameters are stated at 298.15 K.
 */

/** Which way a bipolar transistor conducts. */
export type Polarity = 'npn' | 'pnp';

/** Absolute-maximum ratings in the sense of IEC 60134: magnitudes, for both polarities. */
export interface BipolarRatings {
  collectorEmitterVoltage?: number; // V
  collectorBaseVoltage?: number; // V
  emitterBaseVoltage?: number; // V
  collectorCurrent?: number; // A
  dissipation?: number; // W
  junctionTemperature?: number; // K
  /** Second-breakdown border of the safe operating area, volts rising. */
  secondBreakdown?: { volts: number; amperes: number }[];
}

/** Transport-form Gummel-Poon parameters (Gummel and Poon, Bell System Technical Journal 49, 1970). */
export interface BipolarParameters {
  saturationCurrent: number; // I_S, A
  forwardBeta: number; // beta_F
  reverseBeta: number; // beta_R
  forwardIdeality?: number; // n_F, 1
  reverseIdeality?: number; // n_R, 1
  earlyVoltage?: number; // V_A, V
  reverseEarlyVoltage?: number; // V_B, V
  forwardKneeCurrent?: number; // I_KF, A
  reverseKneeCurrent?: number; // I_KR, A
  emitterLeakageCurrent?: number; // I_SE, A
  emitterLeakageIdeality?: number; // n_E
  collectorLeakageCurrent?: number; // I_SC, A
  collectorLeakageIdeality?: number; // n_C
  baseResistance?: number; // r_B, ohm
  emitterResistance?: number; // r_E, ohm
  collectorResistance?: number; // r_C, ohm
  emitterJunctionCapacitance?: number; // C_jE, F
  emitterJunctionPotential?: number; // V_jE, V
  emitterJunctionGrading?: number; // m_E
  collectorJunctionCapacitance?: number; // C_jC, F
  collectorJunctionPotential?: number; // V_jC, V
  collectorJunctionGrading?: number; // m_C
  forwardTransitTime?: number; // tau_F, s
  reverseTransitTime?: number; // tau_R, s
  emitterBreakdownVoltage?: number; // V_BE,br, V
  bandgapVoltage?: number; // V_G0, V, silicon 1.205
  saturationTemperatureExponent?: number; // gamma, silicon 3.2
  betaTemperatureExponent?: number; // X_B
  flickerCorner?: number; // f_c, Hz
  thermalResistance?: number; // R_thJA, K/W
  caseThermalResistance?: number; // R_thJC, K/W
  betaRange?: [number, number];
  saturationCurrentRange?: [number, number]; // A
  ratings?: BipolarRatings;
}

/** Ratings of a diode: magnitudes. */
export interface DiodeRatings {
  reverseVoltage?: number; // V
  current?: number; // A
  dissipation?: number; // W
  junctionTemperature?: number; // K
}

/** Junction diode with series resistance, charges and breakdown. */
export interface DiodeParameters {
  saturationCurrent: number; // I_S, A
  ideality?: number; // n, 1
  seriesResistance?: number; // r_S, ohm
  junctionCapacitance?: number; // C_j, F
  junctionPotential?: number; // V_j, V
  junctionGrading?: number; // m
  transitTime?: number; // tau, s
  breakdownVoltage?: number; // V_br, V
  bandgapVoltage?: number; // V_G0, V
  saturationTemperatureExponent?: number; // gamma
  flickerCorner?: number; // Hz
  thermalResistance?: number; // K/W
  caseThermalResistance?: number; // K/W
  saturationCurrentRange?: [number, number];
  ratings?: DiodeRatings;
}

/** Where a device's figures come from, in words for people, and how well fitted figures meet their points. */
export interface Provenance {
  source: string;
  points?: { quantity: string; at: string; wanted: number; met: number; unit: string; source: string }[];
}

/** A device as a sheet names it. */
export type Device =
  | { kind: Polarity; name: string; parameters: BipolarParameters; provenance?: Provenance }
  | { kind: 'diode'; name: string; parameters: DiodeParameters; provenance?: Provenance };
