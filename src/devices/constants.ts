/** Constants of nature and of the device equations. */

/** Boltzmann constant, J/K: exact by definition (SI Brochure, 9th ed., 2019). */
export const BOLTZMANN = 1.380649e-23;
/** Elementary charge, C: exact by definition (SI Brochure, 9th ed., 2019). */
export const ELEMENTARY_CHARGE = 1.602176634e-19;
/** Temperature at which device parameters are stated, K: 25 degrees Celsius. */
export const REFERENCE_TEMPERATURE = 298.15;
/** Current at which a junction's stated breakdown voltage holds, A, for area 1. */
export const BREAKDOWN_CURRENT = 1e-5;
/** Band gap of silicon extrapolated to 0 K, V (Gray, Hurst, Lewis and Meyer, Analysis and Design of Analog Integrated
 * Circuits, from memory). */
export const SILICON_BANDGAP = 1.205;
/** Temperature exponent of the saturation current of silicon (the same source, from memory). */
export const SILICON_EXPONENT = 3.2;

/**
 * Thermal voltage kT/q.
 * @param kelvin absolute temperature, K
 * @returns volts
 */
export function thermalVoltage(kelvin: number): number {
  return (BOLTZMANN * kelvin) / ELEMENTARY_CHARGE;
}
