/** Live values that fill a plan's slots: a resting point, or an instant of a period. */

export type DeviceState = 'active' | 'saturated' | 'off' | 'reversed' | 'breakdown';

export interface DrawingValues {
  /** Volts of nodes to ground. */
  volts?: Record<string, number>;
  /**
   * Amperes through parts, positive from the first terminal (`from`, anode, collector) to the second. Of a
   * transistor the emitter's may be given apart from the collector's: `second` is what leaves the emitter.
   */
  currents?: Record<string, number | { first: number; second: number }>;
  devices?: Record<string, { state: DeviceState; beta?: number | null }>;
  /** Parts over a rating. */
  overRating?: string[];
  /** Which moment the values belong to, `at rest` unless given. */
  moment?: string;
  /** Current whose arrow has the full width of 12, A; default: twice the largest at hand and a half. */
  fullScale?: number;
}

/** Current of a slot, positive in the direction of its arrow. */
export function currentOf(values: DrawingValues, part: string, terminal: 'first' | 'second'): number | undefined {
  const value = values.currents?.[part];
  return typeof value === 'object' ? value[terminal] : value;
}
