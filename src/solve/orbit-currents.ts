/** Terminal currents of parts along an orbit, charging currents included: what an ammeter in the lead would show. */
import { DEVICE_FIGURES, FIGURE, type Kernel } from '../circuit/kernel.ts';
import { evaluateOrbit, type Orbit, slopeWeights, startValue } from './orbit.ts';
import { STAGES } from './radau.ts';

/** Charging currents of the devices of one step: dQ/dt of the emitter and collector junctions at any share of it. */
export class DeviceCharging {
  private readonly kernel: Kernel;
  private readonly charged: boolean[];
  private readonly x: Float64Array;
  /** Junction charges at the start and the stages of the step last looked at: 4 x devices x 2. */
  private readonly charges: Float64Array;
  private step = -1;

  constructor(kernel: Kernel, n: number) {
    this.kernel = kernel;
    const { transistors, diodes } = kernel.network;
    this.x = new Float64Array(n);
    this.charged = [
      ...transistors.map(({ parameters: p }) =>
        [p.emitterJunctionCapacitance, p.collectorJunctionCapacitance, p.forwardTransitTime, p.reverseTransitTime].some(
          (v) => (v ?? 0) > 0,
        ),
      ),
      ...diodes.map(({ parameters: p }) => (p.junctionCapacitance ?? 0) > 0 || (p.transitTime ?? 0) > 0),
    ];
    this.charges = new Float64Array(4 * 2 * this.charged.length);
  }

  private load(orbit: Orbit, s: number): void {
    const devices = this.charged.length;
    for (let point = 0; point < 4; point++) {
      for (let i = 0; i < orbit.n; i++) {
        this.x[i] = point === 0 ? startValue(orbit, s, i) : orbit.x[(s * STAGES + point - 1) * orbit.n + i];
      }
      this.kernel.evaluate(this.x, null, true);
      for (let k = 0; k < devices; k++) {
        this.charges[2 * (point * devices + k)] = this.kernel.figures[DEVICE_FIGURES * k + FIGURE.emitterCharge];
        this.charges[2 * (point * devices + k) + 1] = this.kernel.figures[DEVICE_FIGURES * k + FIGURE.collectorCharge];
      }
    }
    this.step = s;
  }

  /** dQ_BE/dt and dQ_BC/dt of device k (a diode: dQ/dt and 0), A in the forward sense, at share c of step s. */
  at(orbit: Orbit, s: number, c: number, k: number): [emitter: number, collector: number] {
    if (!this.charged[k]) return [0, 0];
    if (s !== this.step) this.load(orbit, s);
    const h = orbit.mesh[s + 1] - orbit.mesh[s];
    const w = slopeWeights(c);
    const devices = this.charged.length;
    let emitter = 0;
    let collector = 0;
    for (let point = 0; point < 4; point++) {
      emitter += (w[point] * this.charges[2 * (point * devices + k)]) / h;
      collector += (w[point] * this.charges[2 * (point * devices + k) + 1]) / h;
    }
    return [emitter, collector];
  }
}

/** Currents of one part: from `from` to `to` (anode to cathode), or a transistor's terminals, positive in forward conduction. */
export type PartCurrents = number[] | { collector: number[]; base: number[]; emitter: number[] };

/** Currents of every part (and the load, and the generator as `drive`) at the instants of an orbit given by step and share. */
export function currentsAlong(kernel: Kernel, orbit: Orbit, instants: { step: number; share: number }[]): Record<string, PartCurrents> {
  const { network } = kernel;
  const nodes = network.nodes.length;
  const x = new Float64Array(orbit.n);
  const charging = new DeviceCharging(kernel, orbit.n);
  const currents: Record<string, PartCurrents> = {};
  const list = (part: string): number[] => {
    currents[part] ??= new Array<number>(instants.length).fill(0);
    return currents[part] as number[];
  };
  const owned = new Set([...network.transistors, ...network.diodes].map((d) => d.part));
  // Only what hangs on the part's `from` terminal counts, so that inner elements are not counted twice.
  const counted = new Map<string, number>();
  const first = (part: string, a: number): boolean => {
    const known = counted.get(part) ?? a;
    counted.set(part, known);
    return known === a;
  };
  const resistors = network.resistors.map((r) => !owned.has(r.part) && first(r.part, r.a));
  const capacitors = network.capacitors.map((c) => first(c.part, c.a));
  const branches = network.branches.map((b) => first(b.part, b.a));
  const sources = network.currents.map((c) => first(c.part, c.a));
  const terminals = network.transistors.map((t) => {
    const zero = (): number[] => new Array<number>(instants.length).fill(0);
    const lists = { collector: zero(), base: zero(), emitter: zero() };
    currents[t.part] = lists;
    return lists;
  });
  const diodes = network.diodes.map((d) => list(d.part));
  instants.forEach(({ step, share }, at) => {
    evaluateOrbit(orbit, step, share, nodes, x);
    const v = (i: number): number => (i < 0 ? 0 : x[i]);
    const h = orbit.mesh[step + 1] - orbit.mesh[step];
    const w = slopeWeights(share);
    const slope = (i: number): number => {
      if (i < 0) return 0;
      let sum = w[0] * startValue(orbit, step, i);
      for (let k = 0; k < STAGES; k++) sum += w[k + 1] * orbit.x[(step * STAGES + k) * orbit.n + i];
      return sum / h;
    };
    network.resistors.forEach((r, k) => {
      if (resistors[k]) list(r.part)[at] += (v(r.a) - v(r.b)) / r.resistance;
    });
    network.capacitors.forEach((c, k) => {
      if (capacitors[k]) list(c.part)[at] += c.capacitance * (slope(c.a) - slope(c.b));
    });
    network.branches.forEach((b, k) => {
      if (branches[k]) list(b.part)[at] += x[nodes + k];
    });
    network.currents.forEach((c, k) => {
      if (sources[k]) list(c.part)[at] += c.amperes;
    });
    kernel.evaluate(x, null, false);
    const conduction = network.transistors.map((_, k) => {
      const f = DEVICE_FIGURES * k;
      return [kernel.figures[f + FIGURE.transport], kernel.figures[f + FIGURE.baseEmitter], kernel.figures[f + FIGURE.baseCollector]];
    });
    const through = network.diodes.map((_, k) => kernel.figures[DEVICE_FIGURES * (network.transistors.length + k) + FIGURE.transport]);
    conduction.forEach(([transport, be, bc], k) => {
      const [qe, qc] = charging.at(orbit, step, share, k);
      terminals[k].collector[at] = transport - bc - qc;
      terminals[k].base[at] = be + bc + qe + qc;
      terminals[k].emitter[at] = transport + be + qe;
    });
    through.forEach((current, k) => {
      diodes[k][at] = current + charging.at(orbit, step, share, network.transistors.length + k)[0];
    });
  });
  return currents;
}
