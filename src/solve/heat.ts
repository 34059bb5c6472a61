/**
 * Self-heating: junction temperatures that agree with the power they cause. T_J = ambient + R_sink sum(P) + R_thJC P for
 * parts on a heat sink, ambient + R_thJA P for the others. Of several solutions the coolest: the search rises from ambient.
 */
import type { Network } from '../circuit/network.ts';
import { solveDense } from '../numerics/dense.ts';
import type { Sheet } from '../sheet/types.ts';

/** K: the temperatures of two rounds may differ by this. */
const TOLERANCE = 1e-6;
/** K above ambient: no junction is meant to be hotter, so the stage runs away. */
const RUNAWAY = 1500;
const SIMPLE_ROUNDS = 14;
/** Simple rounds that shrink the gap by less than this give way to Newton's method. */
const SLOW = 0.5;
const NEWTON_ROUNDS = 30;
/** K: step of the difference quotients. */
const PROBE = 0.05;

export class RunsAway extends Error {
  readonly parts: string[];
  constructor(parts: string[]) {
    super('the junction temperature has no solution: the stage runs away');
    this.name = 'RunsAway';
    this.parts = parts;
  }
}

/** Thermal paths of a network's devices, transistors then diodes. */
export interface ThermalPaths {
  ambient: number; // K
  /** K/W per device: its own path. */
  own: Float64Array;
  /** Devices that share a sink, with its resistance in K/W. */
  sinks: { resistance: number; devices: number[] }[];
  /** Indices of the devices that warm themselves at all. */
  warm: number[];
  names: string[];
}

export function thermalPaths(sheet: Sheet, network: Network): ThermalPaths {
  const devices = [...network.transistors, ...network.diodes];
  const own = new Float64Array(devices.length);
  const members = new Map<string, number[]>();
  const warm: number[] = [];
  devices.forEach((d, k) => {
    const sink = d.heatSink !== undefined && sheet.heatSinks.some((h) => h.name === d.heatSink);
    own[k] = (sink ? d.parameters.caseThermalResistance : d.parameters.thermalResistance) ?? 0;
    if (sink) members.set(d.heatSink as string, [...(members.get(d.heatSink as string) ?? []), k]);
    if (sink || own[k] > 0) warm.push(k);
  });
  const sinks = sheet.heatSinks.flatMap((h) => {
    const list = members.get(h.name);
    return list ? [{ resistance: h.thermalResistance, devices: list }] : [];
  });
  return { ambient: sheet.ambient, own, sinks, warm, names: devices.map((d) => d.part) };
}

/** Junction temperatures (K) that the given powers (W) cause. */
export function temperaturesOf(paths: ThermalPaths, power: ArrayLike<number>): Float64Array {
  const t = Float64Array.from(paths.own, (r, k) => paths.ambient + r * power[k]);
  for (const sink of paths.sinks) {
    let sum = 0;
    for (const k of sink.devices) sum += power[k];
    for (const k of sink.devices) t[k] += sink.resistance * sum;
  }
  return t;
}

/** From where and how exactly the heat is settled. */
export interface HeatOptions {
  /** K to which two rounds agree. */
  tolerance?: number;
  /** Temperatures of a state nearby (K); without them the search rises from ambient. */
  start?: Float64Array;
}

/**
 * Finds the temperatures with T = temperaturesOf(powerAt(T)), rising from ambient. `powerAt` solves the stage with the
 * given junction temperatures (K) and returns the power of each device (W), or null where it found no solution.
 */
export function settleHeat(
  paths: ThermalPaths,
  powerAt: (kelvin: Float64Array) => Float64Array | null,
  options: HeatOptions = {},
): Float64Array {
  const tolerance = options.tolerance ?? TOLERANCE;
  const count = paths.own.length;
  let t: Float64Array = options.start ? Float64Array.from(options.start) : new Float64Array(count).fill(paths.ambient);
  if (paths.warm.length === 0) {
    if (!powerAt(t)) throw new RunsAway([]);
    return t;
  }
  const hottest = (list: Float64Array): string[] => paths.warm.filter((k) => list[k] > paths.ambient + 100).map((k) => paths.names[k]);
  const imageOf = (kelvin: Float64Array): Float64Array => {
    const power = powerAt(kelvin);
    if (!power) throw new RunsAway(hottest(kelvin));
    const image = temperaturesOf(paths, power);
    for (const k of paths.warm) if (!(image[k] - paths.ambient < RUNAWAY)) throw new RunsAway(hottest(image));
    return image;
  };
  const distance = (a: Float64Array, b: Float64Array): number => paths.warm.reduce((d, k) => Math.max(d, Math.abs(a[k] - b[k])), 0);
  let image = imageOf(t);
  let gap = distance(image, t);
  for (let round = 0; round < SIMPLE_ROUNDS && gap > tolerance; round++) {
    const before = gap;
    t = image;
    image = imageOf(t);
    gap = distance(image, t);
    // A loop gain near one would take long this way, and one above one for ever.
    if (gap > SLOW * before) break;
  }
  const m = paths.warm.length;
  for (let round = 0; round < NEWTON_ROUNDS && distance(image, t) > tolerance; round++) {
    const a = new Float64Array(m * m);
    const b = new Float64Array(m);
    for (let j = 0; j < m; j++) {
      const probe = Float64Array.from(t);
      probe[paths.warm[j]] += PROBE;
      const moved = imageOf(probe);
      for (let i = 0; i < m; i++) a[i * m + j] = (i === j ? 1 : 0) - (moved[paths.warm[i]] - image[paths.warm[i]]) / PROBE;
    }
    for (let i = 0; i < m; i++) b[i] = image[paths.warm[i]] - t[paths.warm[i]];
    if (!solveDense(a, b, m)) throw new RunsAway(hottest(t));
    const next = Float64Array.from(t);
    for (let i = 0; i < m; i++) next[paths.warm[i]] += b[i];
    for (const k of paths.warm) if (!(next[k] > 0 && next[k] - paths.ambient < RUNAWAY)) throw new RunsAway(hottest(image));
    t = next;
    image = imageOf(t);
  }
  if (distance(image, t) > tolerance) throw new RunsAway(hottest(t));
  return t;
}
