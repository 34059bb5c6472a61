/** Levels on paper: load lines and Ebers-Moll junctions (Ebers and Moll, Proc. IRE 42:1761-1772, 1954), no engine. */

/** V at 298.15 K, from the exact SI values of k and q. */
export const VT = (1.380649e-23 * 298.15) / 1.602176634e-19;
export const parallel = (...ohms: number[]): number => 1 / ohms.reduce((sum, r) => sum + 1 / r, 0);

/** The devices of the table: no Early effect, so that the closed forms are those of the model. */
export const DEVICE = {
  'q-small': { saturationCurrent: 1.2e-14, beta: 200 },
  'p-small': { saturationCurrent: 1e-14, beta: 180 },
  'q-output': { saturationCurrent: 5e-14, beta: 110 },
  'p-output': { saturationCurrent: 4e-14, beta: 95 },
} as const;
export type DeviceName = keyof typeof DEVICE;
export const D_CLAMP = { saturationCurrent: 4e-9, ideality: 1.8 };
export const BREAKDOWN_AT_10_MICROAMPERES = 5.1; // V, of d-reference
export const EMITTER_BREAKDOWN = 6.2; // V, of q-guard

/** Forward voltage of an emitter junction at a collector current. */
export const junction = (device: DeviceName, amperes: number): number => VT * Math.log(amperes / DEVICE[device].saturationCurrent);

/** Divider-biased stage: emitter current, emitter voltage; V_BE and the current found by repetition from Thevenin's form. */
export function dividerBias(
  device: DeviceName,
  supply: number,
  upper: number,
  lower: number,
  emitterResistor: number,
): { current: number; emitter: number; base: number } {
  const { beta } = DEVICE[device];
  const open = (supply * lower) / (upper + lower);
  const source = parallel(upper, lower);
  let current = 1e-3;
  for (let turn = 0; turn < 100; turn++) {
    const vbe = junction(device, (current * beta) / (beta + 1));
    current = (open - vbe) / (emitterResistor + source / (beta + 1));
  }
  return { current, emitter: current * emitterResistor, base: open - (current / (beta + 1)) * source };
}

/** Emitter current of a follower whose base is driven from 0 V through `source`, its resistor to a rail of magnitude `rail`. */
export function railFollower(
  device: DeviceName,
  rail: number,
  emitterResistor: number,
  source: number,
  load: number,
): { current: number; output: number } {
  const { beta } = DEVICE[device];
  let current = rail / emitterResistor;
  for (let turn = 0; turn < 200; turn++) {
    const output = -junction(device, (current * beta) / (beta + 1)) - (current * source) / (beta + 1);
    current = (output + rail) / emitterResistor + output / load;
  }
  return { current, output: -junction(device, (current * beta) / (beta + 1)) - (current * source) / (beta + 1) };
}

/**
 * Volts between cut-off and the half-slope limit of a follower: slope R/(R + V_T/i + R_S/(beta+1)) falls to half where
 * V_T/i = R + 2 V_T/I + R_S/(beta+1), and i R are left to go.
 */
export const halfSlopeBeforeCutOff = (load: number, current: number, sourceOverBeta: number): number =>
  (VT * load) / (load + (2 * VT) / current + sourceOverBeta);
