/**
 * The equations of one network: residual, Jacobian, charges and their Jacobian, at given unknowns.
 *
 *     d q(x)/dt + f(x) = 0,    G = df/dx,  C = dq/dx
 *
 * x holds node voltages, then branch currents. Row i < nodes is Kirchhoff's current law (currents leaving the node),
 * row nodes + k is branch k's own equation (modified nodal analysis: Ho, Ruehli, Brennan, IEEE Trans. CAS 22, 1975).
 */
import type { Pattern } from '../numerics/sparse.ts';
import type { Network } from './network.ts';

/** What a solver needs of a network; the plain kernel is one form of it, an emitted one may be another. */
export interface Kernel {
  readonly network: Network;
  /** Number of unknowns. */
  readonly n: number;
  /** Pattern shared by `g` and `c`. */
  readonly pattern: Pattern;
  /** Values that change without set-up: electromotive force of each branch (V), current of each source (A). */
  readonly emf: Float64Array;
  readonly amperes: Float64Array;
  /** Results of the last `evaluate`: residual (n), Jacobian, charges (n, C or Wb), their Jacobian. */
  readonly f: Float64Array;
  readonly g: Float64Array;
  readonly q: Float64Array;
  readonly c: Float64Array;
  /** Number of junction voltages that limiting remembers: two a transistor, one a diode. */
  readonly junctionCount: number;
  /** Conduction figures of the last `evaluate`, `DEVICE_FIGURES` a device, transistors first (see `FIGURE`). */
  readonly figures: Float64Array;
  /**
   * Small-signal conductances of the last `evaluate`, `DEVICE_SLOPES` a device: of a transistor dI_C/dV_BE, dI_C/dV_BC,
   * dI_B/dV_BE, dI_B/dV_BC (S, forward sense), of a diode its conductance and zeros.
   */
  readonly slopes: Float64Array;
  /** Prepared constants of the transistors (`devices/bipolar.ts`), one after the other. */
  readonly transistorConstants: Float64Array;
  /** Adds the conductances `s[at..at+3]` of device k (transistors first) to the values of a Jacobian. */
  addDevice(values: Float64Array, k: number, s: ArrayLike<number>, at: number): void;
  /** True where charges are part of the equations: a step so short that the last digits of a voltage are worth any current. */
  readonly stiff?: boolean;
  /** Evaluations so far: a count of work that does not depend on the machine. */
  evaluations: number;
  /** Junction temperatures in kelvin, transistors then diodes. */
  setTemperatures(kelvin: ArrayLike<number>): void;
  /** Reads all element values of the network again (after one of them changed). */
  loadValues(): void;
  /**
   * Evaluates at x (length n). With `junctions` every junction voltage is kept from running away from the one remembered
   * there (the equations are then those linearised at the limited voltage) and the memory is renewed; returns whether
   * any was limited. `dynamic` adds charges.
   */
  evaluate(x: Float64Array, junctions: Float64Array | null, dynamic: boolean): boolean;
  /** Whether the last evaluation was inside the range in which the device equations mean something. */
  withinModel(x: Float64Array): boolean;
}

/** Offsets into `figures` of one device: conduction currents and junction voltages in the forward sense. */
export const FIGURE = {
  /** Transport current I_CT; a diode's current. */
  transport: 0,
  baseEmitter: 1,
  baseCollector: 2,
  breakdown: 3,
  vbe: 4,
  vbc: 5,
  /** Charges of the junctions, C, forward sense; a diode's in the first. Only after a dynamic evaluation. */
  emitterCharge: 6,
  collectorCharge: 7,
} as const;
export const DEVICE_FIGURES = 8;
export const DEVICE_SLOPES = 4;
