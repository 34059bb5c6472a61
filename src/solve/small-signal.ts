/** Complex small-signal solutions (G + j omega C) x = b about one solution of the static equations. */
import type { Kernel } from '../circuit/kernel.ts';
import { ComplexSparseLU, positionIn, SingularMatrix } from '../numerics/sparse.ts';

export interface Complex {
  re: number;
  im: number;
}
export const divide = (a: Complex, b: Complex): Complex => {
  const scale = Math.max(Math.abs(b.re), Math.abs(b.im));
  if (!(scale > 0)) return { re: Number.NaN, im: Number.NaN };
  const br = b.re / scale;
  const bi = b.im / scale;
  const d = (br * br + bi * bi) * scale;
  return { re: (a.re * br + a.im * bi) / d, im: (a.im * br - a.re * bi) / d };
};
export const magnitude = (z: Complex): number => {
  const [large, small] = Math.abs(z.re) > Math.abs(z.im) ? [Math.abs(z.re), Math.abs(z.im)] : [Math.abs(z.im), Math.abs(z.re)];
  if (large === 0) return 0;
  const r = small / large;
  return large * Math.sqrt(1 + r * r);
};

/** One linearised network with its own copies of G and C, so that elements can be taken out of it. */
export class LinearStage {
  readonly kernel: Kernel;
  readonly g: Float64Array;
  readonly c: Float64Array;
  private readonly lu: ComplexSparseLU;
  private readonly imaginary: Float64Array;
  readonly re: Float64Array;
  readonly im: Float64Array;

  /** Linearises at x (the kernel's own values and temperatures). */
  constructor(kernel: Kernel, x: Float64Array) {
    this.kernel = kernel;
    kernel.evaluate(x, null, true);
    this.g = Float64Array.from(kernel.g);
    this.c = Float64Array.from(kernel.c);
    this.lu = new ComplexSparseLU(kernel.pattern);
    this.imaginary = new Float64Array(this.c.length);
    this.re = new Float64Array(kernel.n);
    this.im = new Float64Array(kernel.n);
  }

  /** A copy that can be changed without touching this one. */
  copy(): LinearStage {
    const other = Object.create(LinearStage.prototype) as LinearStage;
    Object.assign(other, {
      kernel: this.kernel,
      g: Float64Array.from(this.g),
      c: Float64Array.from(this.c),
      lu: new ComplexSparseLU(this.kernel.pattern),
      imaginary: new Float64Array(this.c.length),
      re: new Float64Array(this.kernel.n),
      im: new Float64Array(this.kernel.n),
    });
    return other;
  }

  private add(values: Float64Array, i: number, j: number, v: number): void {
    if (i >= 0 && j >= 0) values[positionIn(this.kernel.pattern, i, j)] += v;
  }
  private across(values: Float64Array, a: number, b: number, v: number): void {
    this.add(values, a, a, v);
    this.add(values, b, b, v);
    this.add(values, a, b, -v);
    this.add(values, b, a, -v);
  }

  /** Takes capacitor k of the network out. */
  withoutCapacitor(k: number): void {
    const e = this.kernel.network.capacitors[k];
    this.across(this.c, e.a, e.b, -e.capacitance);
  }
  /** Takes resistor k of the network out. */
  withoutResistor(k: number): void {
    const e = this.kernel.network.resistors[k];
    this.across(this.g, e.a, e.b, -1 / e.resistance);
  }
  /** Takes the inductance of branch k out: it becomes its series resistance. */
  withoutInductance(k: number): void {
    const row = this.kernel.network.nodes.length + k;
    this.c[positionIn(this.kernel.pattern, row, row)] = 0;
  }
  /** Opens branch k: no current in it. */
  withoutBranch(k: number): void {
    const e = this.kernel.network.branches[k];
    const row = this.kernel.network.nodes.length + k;
    this.add(this.g, row, e.a, -1);
    this.add(this.g, row, e.b, 1);
    const d = positionIn(this.kernel.pattern, row, row);
    this.g[d] = 1;
    this.c[d] = 0;
  }

  /** Factors at omega (rad/s); false where the network has no solution there. */
  at(omega: number): boolean {
    for (let p = 0; p < this.c.length; p++) this.imaginary[p] = omega * this.c[p];
    try {
      this.lu.factor(this.g, this.imaginary);
      return true;
    } catch (e) {
      if (e instanceof SingularMatrix) return false;
      throw e;
    }
  }

  /** Solution for a unit of each given row of the right-hand side; `re`, `im` hold it until the next call. */
  solve(sources: [row: number, value: number][]): void {
    this.re.fill(0);
    this.im.fill(0);
    for (const [row, value] of sources) if (row >= 0) this.re[row] += value;
    this.lu.solve(this.re, this.im, this.re, this.im);
  }

  value(i: number): Complex {
    return i < 0 ? { re: 0, im: 0 } : { re: this.re[i], im: this.im[i] };
  }
  difference(i: number, j: number): Complex {
    const a = this.value(i);
    const b = this.value(j);
    return { re: a.re - b.re, im: a.im - b.im };
  }
}

/** What generator and load see at one frequency; null where undefined (an open input, say). */
export interface Seen {
  gain: Complex | null;
  overallGain: Complex | null;
  inputImpedance: Complex | null;
  outputImpedance: Complex | null;
}

/** Answers for gains and impedances of one quiescent point, load connected; the output impedance with the load taken away. */
export class SeenFrom {
  private readonly linear: LinearStage;
  private readonly unloaded: LinearStage;

  constructor(kernel: Kernel, x: Float64Array) {
    this.linear = new LinearStage(kernel, x);
    this.unloaded = this.linear.copy();
    const net = kernel.network;
    net.resistors.forEach((e, k) => {
      if (e.ofLoad && e.a === net.outputNode) this.unloaded.withoutResistor(k);
    });
    net.capacitors.forEach((e, k) => {
      if (e.ofLoad && e.a === net.outputNode) this.unloaded.withoutCapacitor(k);
    });
    net.branches.forEach((e, k) => {
      if (e.ofLoad && e.a === net.outputNode) this.unloaded.withoutBranch(k);
    });
  }

  /** Output over electromotive force at omega. */
  overallGain(omega: number): Complex | null {
    const { network } = this.linear.kernel;
    if (!this.linear.at(omega)) return null;
    this.linear.solve([[network.nodes.length + network.generator, 1]]);
    return this.linear.value(network.outputNode);
  }

  at(omega: number): Seen {
    const { network } = this.linear.kernel;
    const none: Seen = { gain: null, overallGain: null, inputImpedance: null, outputImpedance: null };
    const generatorRow = network.nodes.length + network.generator;
    const overallGain = this.overallGain(omega);
    const seen: Seen = { ...none, overallGain };
    if (overallGain) {
      const input = this.linear.value(network.driveNode);
      const current = this.linear.value(generatorRow);
      seen.gain = finite(divide(overallGain, input));
      seen.inputImpedance = finite(divide(input, { re: -current.re, im: -current.im }));
    }
    if (this.unloaded.at(omega)) {
      this.unloaded.solve([
        [network.outputNode, 1],
        [network.loadReturn, -1],
      ]);
      seen.outputImpedance = finite(this.unloaded.difference(network.outputNode, network.loadReturn));
    }
    return seen;
  }
}

function finite(z: Complex): Complex | null {
  return Number.isFinite(z.re) && Number.isFinite(z.im) ? z : null;
}
