/** How the saturation current follows temperature (physics.md; Gray, Hurst, Lewis and Meyer, from memory). */
import { exp, pow } from '../numerics/elementary.ts';
import { REFERENCE_TEMPERATURE, SILICON_BANDGAP, SILICON_EXPONENT, thermalVoltage } from './constants.ts';

/**
 * I_S(T)/I_S = (T/T0)^(gamma/n) exp((V_G0 q/(n k)) (1/T0 - 1/T)).
 * @param kelvin junction temperature, K
 * @param ideality n of a diode; 1 for a transistor's transport current
 */
export function saturationCurrentRatio(
  kelvin: number,
  bandgapVoltage: number | undefined,
  exponent: number | undefined,
  ideality: number,
): number {
  const ratio = kelvin / REFERENCE_TEMPERATURE;
  const gap = (bandgapVoltage ?? SILICON_BANDGAP) / ideality;
  const arrhenius = gap * (1 / thermalVoltage(REFERENCE_TEMPERATURE) - 1 / thermalVoltage(kelvin));
  return pow(ratio, (exponent ?? SILICON_EXPONENT) / ideality) * exp(arrhenius);
}
