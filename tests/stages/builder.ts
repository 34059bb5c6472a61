/** Puts a random stage together: nodes, parts and device parameters by name, with values from the frozen ranges. */
import type { BipolarParameters, DiodeParameters, Polarity } from '../../src/devices/parameters.ts';
import type { Part, Sheet } from '../../src/sheet/types.ts';
import type { Random } from './random.ts';
import { RANGES } from './ranges.ts';

const span = (random: Random, [low, high]: readonly [number, number]) => random.logarithmic(low, high);

export class Builder {
  readonly random: Random;
  readonly parts: Part[] = [];
  readonly high: string;
  readonly low: string;
  /** V between the rails. */
  readonly supply: number;
  private readonly wild: boolean;
  private readonly split: boolean;
  private readonly rail: number;
  private readonly counts = new Map<string, number>();
  private nodes = 0;

  constructor(random: Random) {
    this.random = random;
    this.split = random.chance(RANGES.splitShare);
    this.rail = span(random, RANGES.supply);
    this.supply = this.split ? 2 * this.rail : this.rail;
    this.wild = random.chance(RANGES.wildShare);
    this.high = this.split ? 'vpos' : 'vcc';
    this.low = this.split ? 'vneg' : 'gnd';
  }

  get transistors(): number {
    return this.parts.filter((part) => part.kind === 'npn' || part.kind === 'pnp').length;
  }
  node(): string {
    this.nodes += 1;
    return `n${this.nodes}`;
  }
  private name(letter: string): string {
    const count = (this.counts.get(letter) ?? 0) + 1;
    this.counts.set(letter, count);
    return `${letter}${count}`;
  }
  /** A resistor near `nominal` ohm, or anywhere in six decades in a wild stage; sometimes a trimmer used as one. */
  resistor(from: string, to: string, nominal: number): void {
    const { random } = this;
    const resistance = this.wild ? span(random, RANGES.wildResistance) : nominal * span(random, RANGES.tameFactor);
    if (random.chance(0.02)) {
      // Wired as a variable resistor, wiper on one end; now and then at the stop where the other half is an exact link.
      const position = random.chance(0.3) ? 1 : random.between(0.05, 1);
      this.parts.push({ kind: 'trimmer', name: this.name('P'), resistance, from, to, wiper: to, position });
      return;
    }
    this.parts.push({ kind: 'resistor', name: this.name('R'), resistance, from, to });
  }
  /** A capacitor, which carries no direct current, save now and then for its leakage. */
  capacitor(from: string, to: string): void {
    const leaky = this.random.chance(0.1);
    this.parts.push({
      kind: 'capacitor',
      name: this.name('C'),
      capacitance: this.random.logarithmic(1e-10, 1e-3),
      from,
      to,
      polarized: leaky,
      seriesResistance: leaky ? 0.2 : 0,
      leakage: leaky ? this.random.logarithmic(1e-8, 1e-5) : 0,
      ...(leaky ? { rating: 63 } : {}),
    });
  }
  inductor(from: string, to: string): void {
    this.parts.push({
      kind: 'inductor',
      name: this.name('L'),
      inductance: 1e-3,
      from,
      to,
      seriesResistance: this.random.pick([0, 0.5, 20]),
    });
  }
  /** An ideal current, which is no path for direct current: only for a node that a junction can supply. */
  current(from: string, to: string, amperes: number): void {
    this.parts.push({ kind: 'current', name: this.name('I'), amperes, from, to });
  }
  voltage(from: string, to: string, volts: number): void {
    this.parts.push({ kind: 'voltage', name: this.name('B'), volts, from, to, resistance: this.random.pick([0, 1]) });
  }
  /** A transistor; its devices differ from part to part. `like` copies the parameters of an earlier one, for matched pairs. */
  transistor(kind: Polarity, collector: string, base: string, emitter: string, like?: string): string {
    const name = this.name('Q');
    const model = this.parts.find((part) => part.name === like);
    const parameters = model && (model.kind === 'npn' || model.kind === 'pnp') ? model.parameters : this.bipolar();
    const area = this.random.chance(0.15) ? span(this.random, RANGES.area) : 1;
    this.parts.push({ kind, name, device: like ? `as-${like}` : `as-${name}`, parameters, collector, base, emitter, area });
    return name;
  }
  diode(anode: string, cathode: string): void {
    const name = this.name('D');
    const area = this.random.chance(0.1) ? span(this.random, RANGES.area) : 1;
    this.parts.push({ kind: 'diode', name, device: `as-${name}`, parameters: this.junction(), anode, cathode, area });
  }
  private bipolar(): BipolarParameters {
    const { random } = this;
    const saturationCurrent = span(random, RANGES.saturationCurrent);
    const parameters: BipolarParameters = {
      saturationCurrent,
      forwardBeta: span(random, RANGES.forwardBeta),
      reverseBeta: span(random, RANGES.reverseBeta),
    };
    if (random.chance(0.2)) parameters.forwardIdeality = random.between(...RANGES.ideality);
    if (random.chance(0.2)) parameters.reverseIdeality = random.between(...RANGES.ideality);
    if (random.chance(0.7)) parameters.earlyVoltage = span(random, RANGES.earlyVoltage);
    if (random.chance(0.2)) parameters.reverseEarlyVoltage = span(random, RANGES.reverseEarlyVoltage);
    if (random.chance(0.4)) parameters.forwardKneeCurrent = span(random, RANGES.forwardKneeCurrent);
    if (random.chance(0.2)) parameters.reverseKneeCurrent = span(random, RANGES.reverseKneeCurrent);
    if (random.chance(0.3)) {
      parameters.emitterLeakageCurrent = saturationCurrent * span(random, RANGES.leakageRatio);
      parameters.emitterLeakageIdeality = random.between(...RANGES.leakageIdeality);
    }
    if (random.chance(0.2)) {
      parameters.collectorLeakageCurrent = saturationCurrent * span(random, RANGES.leakageRatio);
      parameters.collectorLeakageIdeality = random.between(...RANGES.leakageIdeality);
    }
    if (random.chance(0.3)) parameters.baseResistance = span(random, RANGES.baseResistance);
    if (random.chance(0.3)) parameters.emitterResistance = span(random, RANGES.emitterResistance);
    if (random.chance(0.3)) parameters.collectorResistance = span(random, RANGES.collectorResistance);
    if (random.chance(0.2)) parameters.emitterBreakdownVoltage = random.between(...RANGES.emitterBreakdownVoltage);
    if (random.chance(0.2)) parameters.betaTemperatureExponent = random.between(0.5, 2);
    if (random.chance(0.1)) parameters.bandgapVoltage = random.between(1.1, 1.21);
    return parameters;
  }
  private junction(): DiodeParameters {
    const { random } = this;
    const parameters: DiodeParameters = { saturationCurrent: span(random, RANGES.diodeSaturationCurrent) };
    if (random.chance(0.6)) parameters.ideality = random.between(...RANGES.diodeIdeality);
    if (random.chance(0.4)) parameters.seriesResistance = span(random, RANGES.diodeSeriesResistance);
    if (random.chance(0.2)) parameters.breakdownVoltage = span(random, RANGES.diodeBreakdownVoltage);
    return parameters;
  }
  /** The sheet, driven at `input`, loaded at `output`. */
  sheet(title: string, input: string, output: string): Sheet {
    const { random } = this;
    const supplies = [{ node: this.high, volts: this.rail, resistance: random.pick([0, 0, 0, 0.3, 15]), inductance: 0 }];
    if (this.split)
      supplies.push({ node: this.low, volts: -this.rail * random.pick([1, 1, 0.8]), resistance: random.pick([0, 0, 0, 2]), inductance: 0 });
    const loaded = random.chance(0.6);
    return {
      title,
      notes: '',
      ambient: 273.15 + random.between(...RANGES.ambient),
      supplies,
      parts: this.parts,
      devices: [],
      heatSinks: [],
      drive: {
        node: input,
        sourceResistance: random.chance(0.05) ? 0 : span(random, RANGES.sourceResistance),
        waveform: 'none',
        atNode: false,
        offset: random.chance(0.5) ? 0 : this.rail * random.between(...RANGES.offsetShare),
        frequency: 1000,
      },
      output,
      loads: [
        loaded
          ? { name: 'load', open: false, resistor: span(random, RANGES.wildResistance), series: false, to: 'gnd' }
          : { name: 'none', open: true, series: false, to: 'gnd' },
      ],
      load: loaded ? 'load' : 'none',
      targets: {},
      series: { resistors: 'E24', capacitors: 'E6' },
      spread: {},
      captures: [],
    };
  }
}
