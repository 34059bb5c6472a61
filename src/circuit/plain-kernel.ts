/** The plain kernel: loops over typed arrays. Straightforward on purpose: it is the cross-check of any faster form. */
import {
  BIPOLAR_CONSTANTS,
  BIPOLAR_OUT,
  bipolarWithinModel,
  evaluateBipolar,
  evaluateBipolarStatic,
  OUT,
  prepareBipolar,
} from '../devices/bipolar.ts';
import { BREAKDOWN_CURRENT, thermalVoltage } from '../devices/constants.ts';
import {
  DIODE_CONSTANTS,
  DIODE_OUT,
  diodeWithinModel,
  evaluateDiode,
  evaluateDiodeStatic,
  OUT_DIODE,
  prepareDiode,
} from '../devices/diode.ts';
import { criticalVoltage, limitJunction } from '../devices/junction.ts';
import { type Pattern, patternOf, positionIn } from '../numerics/sparse.ts';
import { DEVICE_FIGURES, DEVICE_SLOPES, FIGURE, type Kernel } from './kernel.ts';
import { type Network, unknownsOf } from './network.ts';

/** All coordinates that any element touches, ground left out. */
function coordinates(net: Network): [number, number][] {
  const list: [number, number][] = [];
  const clique = (...nodes: number[]): void => {
    for (const i of nodes) for (const j of nodes) if (i >= 0 && j >= 0) list.push([i, j]);
  };
  for (const e of [...net.resistors, ...net.capacitors]) clique(e.a, e.b);
  net.branches.forEach((e, k) => {
    const row = net.nodes.length + k;
    clique(e.a, row);
    clique(e.b, row);
  });
  for (const t of net.transistors) clique(t.collector, t.base, t.emitter);
  for (const d of net.diodes) clique(d.anode, d.cathode);
  for (let i = 0; i < net.nodes.length; i++) list.push([i, i]);
  return list;
}

export class PlainKernel implements Kernel {
  readonly network: Network;
  readonly n: number;
  readonly pattern: Pattern;
  readonly emf: Float64Array;
  readonly amperes: Float64Array;
  readonly f: Float64Array;
  readonly g: Float64Array;
  readonly q: Float64Array;
  readonly c: Float64Array;
  readonly junctionCount: number;
  readonly figures: Float64Array;
  readonly slopes: Float64Array;
  evaluations = 0;

  /** Unknowns with ground's zero behind them; results have a bin for ground behind them. */
  private readonly x: Float64Array;
  private readonly fAll: Float64Array;
  private readonly qAll: Float64Array;
  private readonly gAll: Float64Array;
  private readonly cAll: Float64Array;
  /** The linear elements' share of G and C, copied in before the devices are added. */
  private readonly gLinear: Float64Array;
  private readonly cLinear: Float64Array;
  private readonly resistorNodes: Int32Array;
  private readonly conductance: Float64Array;
  private readonly capacitorNodes: Int32Array;
  private readonly capacitance: Float64Array;
  private readonly currentNodes: Int32Array;
  private readonly branchNodes: Int32Array;
  private readonly resistance: Float64Array;
  private readonly inductance: Float64Array;
  private readonly transistorNodes: Int32Array;
  private readonly transistorPositions: Int32Array;
  readonly transistorConstants: Float64Array;
  private readonly diodeNodes: Int32Array;
  private readonly diodePositions: Int32Array;
  private readonly diodeConstants: Float64Array;
  /** Per junction: thermal voltage (with ideality), critical voltage, breakdown voltage (0: none), its thermal voltage. */
  private readonly limits: Float64Array;
  private readonly out = new Float64Array(Math.max(BIPOLAR_OUT, DIODE_OUT));

  constructor(network: Network, ambient: number) {
    this.network = network;
    const n = unknownsOf(network);
    this.n = n;
    this.pattern = patternOf(n, coordinates(network));
    const nonZeros = this.pattern.columns.length;
    const bin = (i: number): number => (i < 0 ? n : i);
    const position = (i: number, j: number): number => (i < 0 || j < 0 ? nonZeros : positionIn(this.pattern, i, j));
    const pairs = (list: { a: number; b: number }[]): Int32Array => Int32Array.from(list.flatMap((e) => [bin(e.a), bin(e.b)]));
    this.x = new Float64Array(n + 1);
    this.fAll = new Float64Array(n + 1);
    this.qAll = new Float64Array(n + 1);
    this.gAll = new Float64Array(nonZeros + 1);
    this.cAll = new Float64Array(nonZeros + 1);
    this.f = this.fAll.subarray(0, n);
    this.q = this.qAll.subarray(0, n);
    this.g = this.gAll.subarray(0, nonZeros);
    this.c = this.cAll.subarray(0, nonZeros);
    this.gLinear = new Float64Array(nonZeros + 1);
    this.cLinear = new Float64Array(nonZeros + 1);
    this.resistorNodes = pairs(network.resistors);
    this.conductance = new Float64Array(network.resistors.length);
    this.capacitorNodes = pairs(network.capacitors);
    this.capacitance = new Float64Array(network.capacitors.length);
    this.currentNodes = pairs(network.currents);
    this.amperes = new Float64Array(network.currents.length);
    this.branchNodes = pairs(network.branches);
    this.emf = new Float64Array(network.branches.length);
    this.resistance = new Float64Array(network.branches.length);
    this.inductance = new Float64Array(network.branches.length);
    const { transistors, diodes } = network;
    this.transistorNodes = Int32Array.from(transistors.flatMap((t) => [bin(t.collector), bin(t.base), bin(t.emitter)]));
    this.transistorPositions = Int32Array.from(
      transistors.flatMap((t) => {
        const terminals = [t.collector, t.base, t.emitter];
        return terminals.flatMap((i) => terminals.map((j) => position(i, j)));
      }),
    );
    this.transistorConstants = new Float64Array(transistors.length * BIPOLAR_CONSTANTS);
    this.diodeNodes = Int32Array.from(diodes.flatMap((d) => [bin(d.anode), bin(d.cathode)]));
    this.diodePositions = Int32Array.from(
      diodes.flatMap((d) => [d.anode, d.cathode].flatMap((i) => [d.anode, d.cathode].map((j) => position(i, j)))),
    );
    this.diodeConstants = new Float64Array(diodes.length * DIODE_CONSTANTS);
    this.junctionCount = 2 * transistors.length + diodes.length;
    this.limits = new Float64Array(4 * this.junctionCount);
    this.figures = new Float64Array(DEVICE_FIGURES * (transistors.length + diodes.length));
    this.slopes = new Float64Array(DEVICE_SLOPES * (transistors.length + diodes.length));
    this.loadValues();
    this.setTemperatures(new Float64Array(transistors.length + diodes.length).fill(ambient));
  }

  loadValues(): void {
    const net = this.network;
    const { pattern, gLinear, cLinear } = this;
    gLinear.fill(0);
    cLinear.fill(0);
    const add = (values: Float64Array, i: number, j: number, v: number): void => {
      if (i >= 0 && j >= 0) values[positionIn(pattern, i, j)] += v;
    };
    const across = (values: Float64Array, a: number, b: number, v: number): void => {
      add(values, a, a, v);
      add(values, b, b, v);
      add(values, a, b, -v);
      add(values, b, a, -v);
    };
    net.resistors.forEach((e, k) => {
      this.conductance[k] = 1 / e.resistance;
      across(gLinear, e.a, e.b, this.conductance[k]);
    });
    net.capacitors.forEach((e, k) => {
      this.capacitance[k] = e.capacitance;
      across(cLinear, e.a, e.b, e.capacitance);
    });
    net.currents.forEach((e, k) => {
      this.amperes[k] = e.amperes;
    });
    net.branches.forEach((e, k) => {
      const row = net.nodes.length + k;
      this.emf[k] = e.emf;
      this.resistance[k] = e.resistance;
      this.inductance[k] = e.inductance;
      add(gLinear, e.a, row, 1);
      add(gLinear, e.b, row, -1);
      add(gLinear, row, e.a, 1);
      add(gLinear, row, e.b, -1);
      add(gLinear, row, row, -e.resistance);
      add(cLinear, row, row, -e.inductance);
    });
  }

  setTemperatures(kelvin: ArrayLike<number>): void {
    const { transistors, diodes } = this.network;
    const junction = (k: number, vT: number, saturation: number, breakdown: number, vTPlain: number): void => {
      this.limits[4 * k] = vT;
      this.limits[4 * k + 1] = criticalVoltage(vT, saturation);
      this.limits[4 * k + 2] = breakdown;
      this.limits[4 * k + 3] = vTPlain;
    };
    transistors.forEach((t, k) => {
      prepareBipolar(t.parameters, t.area, kelvin[k], this.transistorConstants, k * BIPOLAR_CONSTANTS);
      const vT = thermalVoltage(kelvin[k]);
      const saturation = this.transistorConstants[k * BIPOLAR_CONSTANTS];
      junction(2 * k, (t.parameters.forwardIdeality ?? 1) * vT, saturation, t.parameters.emitterBreakdownVoltage ?? 0, vT);
      junction(2 * k + 1, (t.parameters.reverseIdeality ?? 1) * vT, saturation, 0, vT);
    });
    diodes.forEach((d, k) => {
      const kelvins = kelvin[transistors.length + k];
      prepareDiode(d.parameters, d.area, kelvins, this.diodeConstants, k * DIODE_CONSTANTS);
      const vT = thermalVoltage(kelvins);
      junction(
        2 * transistors.length + k,
        (d.parameters.ideality ?? 1) * vT,
        this.diodeConstants[k * DIODE_CONSTANTS],
        d.parameters.breakdownVoltage ?? 0,
        vT,
      );
    });
  }

  /** Keeps junction k from running away; renews its memory. */
  private limited(v: number, junctions: Float64Array, k: number): number {
    const old = junctions[k];
    const breakdown = this.limits[4 * k + 2];
    let w = limitJunction(v, old, this.limits[4 * k], this.limits[4 * k + 1]);
    if (breakdown > 0 && v < -0.5 * breakdown) {
      const vT = this.limits[4 * k + 3];
      w = -breakdown - limitJunction(-v - breakdown, -old - breakdown, vT, criticalVoltage(vT, BREAKDOWN_CURRENT));
    }
    junctions[k] = w;
    return w;
  }

  evaluate(at: Float64Array, junctions: Float64Array | null, dynamic: boolean): boolean {
    this.evaluations++;
    const { x, fAll, gAll, qAll, cAll, n } = this;
    x.set(at);
    x[n] = 0;
    fAll.fill(0);
    gAll.set(this.gLinear);
    if (dynamic) {
      qAll.fill(0);
      cAll.set(this.cLinear);
    }
    this.linear(dynamic);
    let limited = this.devices(junctions, dynamic);
    if (this.diodesAt(junctions, dynamic)) limited = true;
    return limited;
  }

  private linear(dynamic: boolean): void {
    const { x, fAll, qAll } = this;
    const nodes = this.network.nodes.length;
    for (let k = 0; k < this.conductance.length; k++) {
      const a = this.resistorNodes[2 * k];
      const b = this.resistorNodes[2 * k + 1];
      const i = this.conductance[k] * (x[a] - x[b]);
      fAll[a] += i;
      fAll[b] -= i;
    }
    for (let k = 0; k < this.amperes.length; k++) {
      fAll[this.currentNodes[2 * k]] += this.amperes[k];
      fAll[this.currentNodes[2 * k + 1]] -= this.amperes[k];
    }
    for (let k = 0; k < this.emf.length; k++) {
      const a = this.branchNodes[2 * k];
      const b = this.branchNodes[2 * k + 1];
      const i = x[nodes + k];
      fAll[a] += i;
      fAll[b] -= i;
      fAll[nodes + k] += x[a] - x[b] - this.resistance[k] * i - this.emf[k];
      if (dynamic) qAll[nodes + k] -= this.inductance[k] * i;
    }
    if (!dynamic) return;
    for (let k = 0; k < this.capacitance.length; k++) {
      const a = this.capacitorNodes[2 * k];
      const b = this.capacitorNodes[2 * k + 1];
      const charge = this.capacitance[k] * (x[a] - x[b]);
      qAll[a] += charge;
      qAll[b] -= charge;
    }
  }

  private devices(junctions: Float64Array | null, dynamic: boolean): boolean {
    const { x, fAll, gAll, qAll, cAll, out, transistorNodes: nodes, transistorPositions: positions, figures } = this;
    const { transistors } = this.network;
    let limited = false;
    for (let k = 0; k < transistors.length; k++) {
      const s = transistors[k].sign;
      const C = nodes[3 * k];
      const B = nodes[3 * k + 1];
      const E = nodes[3 * k + 2];
      const vbe = s * (x[B] - x[E]);
      const vbc = s * (x[B] - x[C]);
      let ube = vbe;
      let ubc = vbc;
      if (junctions) {
        ube = this.limited(vbe, junctions, 2 * k);
        ubc = this.limited(vbc, junctions, 2 * k + 1);
        if (ube !== vbe || ubc !== vbc) limited = true;
      }
      if (dynamic) evaluateBipolar(this.transistorConstants, k * BIPOLAR_CONSTANTS, ube, ubc, out);
      else evaluateBipolarStatic(this.transistorConstants, k * BIPOLAR_CONSTANTS, ube, ubc, out);
      const dbe = vbe - ube;
      const dbc = vbc - ubc;
      const gce = out[OUT.dICT_dVBE];
      const gcc = out[OUT.dICT_dVBC] - out[OUT.dIBC_dVBC];
      const gbe = out[OUT.dIBE_dVBE];
      const gbc = out[OUT.dIBC_dVBC];
      const ic = s * (out[OUT.ICT] - out[OUT.IBC] + gce * dbe + gcc * dbc);
      const ib = s * (out[OUT.IBE] + out[OUT.IBC] + gbe * dbe + gbc * dbc);
      fAll[C] += ic;
      fAll[B] += ib;
      fAll[E] -= ic + ib;
      stamp(gAll, positions, 9 * k, gce, gcc, gbe, gbc);
      const at = DEVICE_FIGURES * k;
      figures[at + FIGURE.transport] = out[OUT.ICT];
      figures[at + FIGURE.baseEmitter] = out[OUT.IBE];
      figures[at + FIGURE.baseCollector] = out[OUT.IBC];
      figures[at + FIGURE.breakdown] = out[OUT.IBR];
      figures[at + FIGURE.vbe] = ube;
      figures[at + FIGURE.vbc] = ubc;
      const slope = DEVICE_SLOPES * k;
      this.slopes[slope] = gce;
      this.slopes[slope + 1] = gcc;
      this.slopes[slope + 2] = gbe;
      this.slopes[slope + 3] = gbc;
      if (!dynamic) continue;
      // The emitter takes -Q_BE, the collector -Q_BC, the base both.
      figures[at + FIGURE.emitterCharge] = out[OUT.QBE];
      figures[at + FIGURE.collectorCharge] = out[OUT.QBC];
      const cee = out[OUT.dQBE_dVBE];
      const cec = out[OUT.dQBE_dVBC];
      const ccc = out[OUT.dQBC_dVBC];
      const qe = s * (out[OUT.QBE] + cee * dbe + cec * dbc);
      const qc = s * (out[OUT.QBC] + ccc * dbc);
      qAll[B] += qe + qc;
      qAll[E] -= qe;
      qAll[C] -= qc;
      stamp(cAll, positions, 9 * k, 0, -ccc, cee, cec + ccc);
    }
    return limited;
  }

  private diodesAt(junctions: Float64Array | null, dynamic: boolean): boolean {
    const { x, fAll, gAll, qAll, cAll, out, figures } = this;
    const { transistors, diodes } = this.network;
    let limited = false;
    for (let k = 0; k < diodes.length; k++) {
      const A = this.diodeNodes[2 * k];
      const K = this.diodeNodes[2 * k + 1];
      const v = x[A] - x[K];
      let u = v;
      if (junctions) {
        u = this.limited(v, junctions, 2 * transistors.length + k);
        if (u !== v) limited = true;
      }
      if (dynamic) evaluateDiode(this.diodeConstants, k * DIODE_CONSTANTS, u, out);
      else evaluateDiodeStatic(this.diodeConstants, k * DIODE_CONSTANTS, u, out);
      const conductance = out[OUT_DIODE.dI];
      const i = out[OUT_DIODE.I] + conductance * (v - u);
      fAll[A] += i;
      fAll[K] -= i;
      between(gAll, this.diodePositions, 4 * k, conductance);
      const at = DEVICE_FIGURES * (transistors.length + k);
      figures[at + FIGURE.transport] = out[OUT_DIODE.I];
      figures[at + FIGURE.breakdown] = out[OUT_DIODE.IBR];
      figures[at + FIGURE.vbe] = u;
      this.slopes[DEVICE_SLOPES * (transistors.length + k)] = conductance;
      if (!dynamic) continue;
      figures[at + FIGURE.emitterCharge] = out[OUT_DIODE.Q];
      const charge = out[OUT_DIODE.Q] + out[OUT_DIODE.dQ] * (v - u);
      qAll[A] += charge;
      qAll[K] -= charge;
      between(cAll, this.diodePositions, 4 * k, out[OUT_DIODE.dQ]);
    }
    return limited;
  }

  addDevice(values: Float64Array, k: number, s: ArrayLike<number>, at: number): void {
    const transistors = this.network.transistors.length;
    if (k < transistors) stampInto(values, this.transistorPositions, 9 * k, s[at], s[at + 1], s[at + 2], s[at + 3]);
    else {
      const p = this.diodePositions;
      const first = 4 * (k - transistors);
      for (let e = 0; e < 4; e++) if (p[first + e] < values.length) values[p[first + e]] += e === 0 || e === 3 ? s[at] : -s[at];
    }
  }

  withinModel(at: Float64Array): boolean {
    const { transistors, diodes } = this.network;
    const v = (i: number): number => (i < 0 ? 0 : at[i]);
    return (
      transistors.every((t, k) => {
        const vbe = t.sign * (v(t.base) - v(t.emitter));
        const vbc = t.sign * (v(t.base) - v(t.collector));
        return bipolarWithinModel(this.transistorConstants, k * BIPOLAR_CONSTANTS, vbe, vbc);
      }) && diodes.every((d, k) => diodeWithinModel(this.diodeConstants, k * DIODE_CONSTANTS, v(d.anode) - v(d.cathode)))
    );
  }
}

/** Adds a three-terminal device: dI_C and dI_B by V_BE and V_BC, at positions (C,B,E) x (C,B,E). */
function stamp(values: Float64Array, p: Int32Array, at: number, ce: number, cc: number, be: number, bc: number): void {
  values[p[at]] -= cc;
  values[p[at + 1]] += ce + cc;
  values[p[at + 2]] -= ce;
  values[p[at + 3]] -= bc;
  values[p[at + 4]] += be + bc;
  values[p[at + 5]] -= be;
  values[p[at + 6]] += cc + bc;
  values[p[at + 7]] -= ce + cc + be + bc;
  values[p[at + 8]] += ce + be;
}

/** As {@link stamp}, into values without a bin for ground. */
function stampInto(values: Float64Array, p: Int32Array, at: number, ce: number, cc: number, be: number, bc: number): void {
  const entries = [-cc, ce + cc, -ce, -bc, be + bc, -be, cc + bc, -(ce + cc + be + bc), ce + be];
  entries.forEach((v, e) => {
    if (p[at + e] < values.length) values[p[at + e]] += v;
  });
}

/** Adds a two-terminal device's slope. */
function between(values: Float64Array, p: Int32Array, at: number, slope: number): void {
  values[p[at]] += slope;
  values[p[at + 1]] -= slope;
  values[p[at + 2]] -= slope;
  values[p[at + 3]] += slope;
}
