/**
 * The blocks that the random stages are made of. Each takes the node its signal comes from and returns the one it leaves
 * by. Every node it makes has a path for direct current, through resistors or junctions, whatever the neighbours do.
 */
import type { Polarity } from '../../src/devices/parameters.ts';
import type { Builder } from './builder.ts';

export type Block = (builder: Builder, input: string) => string;

const rails = (builder: Builder, kind: Polarity): [collectorSide: string, emitterSide: string] =>
  kind === 'npn' ? [builder.high, builder.low] : [builder.low, builder.high];
const polarity = (builder: Builder): Polarity => (builder.random.chance(0.6) ? 'npn' : 'pnp');

/** Base bias: straight from the previous block, or through a capacitor onto a divider. */
function couple(builder: Builder, input: string, share: number): string {
  const { random } = builder;
  if (random.chance(0.45)) return input;
  if (random.chance(0.2)) {
    const base = builder.node();
    builder.resistor(input, base, 2200);
    return base;
  }
  const base = builder.node();
  builder.capacitor(input, base);
  builder.resistor(builder.high, base, 100e3 * (1 - share));
  builder.resistor(base, builder.low, 100e3 * share);
  return base;
}

/** What an emitter stands on: a resistor, a sink of its own, or an ideal current. */
function tail(builder: Builder, kind: Polarity, emitter: string, nominal: number): void {
  const { random } = builder;
  const [top, foot] = rails(builder, kind);
  if (random.chance(0.25)) {
    const reference = builder.node();
    const lower = builder.node();
    builder.resistor(top, reference, nominal * 3);
    if (random.chance(0.5)) {
      const middle = builder.node();
      if (kind === 'npn') {
        builder.diode(reference, middle);
        builder.diode(middle, foot);
      } else {
        builder.diode(middle, reference);
        builder.diode(foot, middle);
      }
    } else builder.transistor(kind, reference, reference, foot);
    builder.resistor(lower, foot, nominal / 6);
    builder.transistor(kind, emitter, reference, lower);
  } else if (random.chance(0.08)) {
    const amperes = (0.4 * builder.supply) / nominal;
    if (kind === 'npn') builder.current(emitter, foot, amperes);
    else builder.current(foot, emitter, amperes);
  } else builder.resistor(emitter, foot, nominal);
}

export const follower: Block = (builder, input) => {
  const kind = polarity(builder);
  const [top] = rails(builder, kind);
  const base = couple(builder, input, 0.5);
  const emitter = builder.node();
  let collector = top;
  if (builder.random.chance(0.2)) {
    collector = builder.node();
    builder.resistor(top, collector, 47);
  }
  builder.transistor(kind, collector, base, emitter);
  tail(builder, kind, emitter, 1500);
  if (builder.random.chance(0.1)) builder.diode(emitter, builder.high);
  return emitter;
};

export const commonEmitter: Block = (builder, input) => {
  const { random } = builder;
  const kind = polarity(builder);
  const [top, foot] = rails(builder, kind);
  const base = couple(builder, input, kind === 'npn' ? 0.15 : 0.85);
  const collector = builder.node();
  let emitter = foot;
  if (random.chance(0.8)) {
    emitter = builder.node();
    let lower = foot;
    if (random.chance(0.4)) {
      lower = builder.node();
      builder.resistor(lower, foot, 820);
      builder.capacitor(lower, foot);
      builder.resistor(emitter, lower, 100);
    } else {
      builder.resistor(emitter, foot, 820);
      if (random.chance(0.4)) builder.capacitor(emitter, foot);
    }
  }
  builder.transistor(kind, collector, base, emitter);
  if (random.chance(0.05)) builder.inductor(top, collector);
  else builder.resistor(top, collector, 3300);
  if (random.chance(0.1)) builder.resistor(collector, base, 220e3);
  return collector;
};

export const complementaryPair: Block = (builder, input) => {
  const { random } = builder;
  const output = builder.node();
  const emitterOf = (): string => {
    if (random.chance(0.3)) return output;
    const emitter = builder.node();
    builder.resistor(emitter, output, 1);
    return emitter;
  };
  const style = random.integer(0, 2);
  let upper = input;
  let lower = input;
  if (style > 0) {
    upper = builder.node();
    lower = builder.node();
    builder.resistor(builder.high, upper, 1200);
    builder.resistor(lower, builder.low, 1200);
    if (style === 1) {
      const middle = random.chance(0.5) ? input : builder.node();
      if (middle !== input) {
        builder.capacitor(input, upper);
        builder.capacitor(input, lower);
      }
      builder.diode(upper, middle);
      builder.diode(middle, lower);
      if (random.chance(0.2)) builder.resistor(upper, lower, 10e3);
    } else {
      const tap = builder.node();
      builder.transistor('npn', upper, tap, lower);
      builder.resistor(upper, tap, 1000);
      builder.resistor(tap, lower, 1000);
      if (random.chance(0.5)) {
        builder.capacitor(input, upper);
        builder.capacitor(input, lower);
      } else builder.resistor(input, lower, 100);
    }
  }
  builder.transistor('npn', builder.high, upper, emitterOf());
  builder.transistor('pnp', builder.low, lower, emitterOf());
  builder.resistor(output, 'gnd', 10e3);
  return output;
};

export const longTailedPair: Block = (builder, input) => {
  const { random } = builder;
  const kind = polarity(builder);
  const [top] = rails(builder, kind);
  const first = couple(builder, input, 0.5);
  const second = builder.node();
  const common = builder.node();
  const idle = builder.node();
  const output = builder.node();
  const emitterOf = (): string => {
    if (random.chance(0.7)) return common;
    const emitter = builder.node();
    builder.resistor(emitter, common, 100);
    return emitter;
  };
  const left = builder.transistor(kind, idle, first, emitterOf());
  builder.transistor(kind, output, second, emitterOf(), random.chance(0.6) ? left : undefined);
  tail(builder, kind, common, 6800);
  builder.resistor(builder.high, second, 47e3);
  builder.resistor(second, builder.low, 47e3);
  if (random.chance(0.4)) {
    const other: Polarity = kind === 'npn' ? 'pnp' : 'npn';
    const mirror = builder.transistor(other, idle, idle, top);
    builder.transistor(other, output, idle, top, mirror);
    builder.resistor(output, 'gnd', 100e3);
  } else {
    builder.resistor(top, idle, 6800);
    builder.resistor(top, output, 6800);
  }
  return output;
};

export const darlington: Block = (builder, input) => {
  const kind = polarity(builder);
  const [top] = rails(builder, kind);
  const base = couple(builder, input, 0.5);
  const middle = builder.node();
  const emitter = builder.node();
  builder.transistor(kind, top, base, middle);
  builder.transistor(kind, top, middle, emitter);
  if (builder.random.chance(0.6)) builder.resistor(middle, emitter, 10e3);
  tail(builder, kind, emitter, 470);
  return emitter;
};

export const complementaryDarlington: Block = (builder, input) => {
  const kind = polarity(builder);
  const other: Polarity = kind === 'npn' ? 'pnp' : 'npn';
  const [top] = rails(builder, kind);
  const base = couple(builder, input, 0.5);
  const middle = builder.node();
  const emitter = builder.node();
  builder.transistor(kind, middle, base, emitter);
  builder.transistor(other, emitter, middle, top);
  if (builder.random.chance(0.7)) builder.resistor(top, middle, 1000);
  tail(builder, kind, emitter, 470);
  return emitter;
};

export const mirror: Block = (builder, input) => {
  const { random } = builder;
  const kind = polarity(builder);
  const [top, foot] = rails(builder, kind);
  const reference = builder.node();
  const output = builder.node();
  builder.resistor(input, reference, 10e3);
  builder.resistor(top, reference, 10e3);
  const emitterOf = (): string => {
    if (random.chance(0.5)) return foot;
    const emitter = builder.node();
    builder.resistor(emitter, foot, 220);
    return emitter;
  };
  const first = builder.transistor(kind, reference, reference, emitterOf());
  const copies = random.integer(1, 3);
  for (let copy = 0; copy < copies; copy++) builder.transistor(kind, output, reference, emitterOf(), first);
  builder.resistor(top, output, 4700);
  return output;
};

/** Common base behind the signal's emitter resistor. */
export const commonBase: Block = (builder, input) => {
  const kind = polarity(builder);
  const [top, foot] = rails(builder, kind);
  const base = builder.node();
  const emitter = builder.node();
  const collector = builder.node();
  builder.resistor(builder.high, base, 47e3);
  builder.resistor(base, builder.low, 47e3);
  builder.capacitor(base, 'gnd');
  builder.resistor(input, emitter, 1000);
  builder.resistor(emitter, foot, 2200);
  builder.transistor(kind, collector, base, emitter);
  builder.resistor(top, collector, 3300);
  return collector;
};

/** Series resistor, clamps to rails or across, and a reference: diodes that may or may not conduct. */
export const clamp: Block = (builder, input) => {
  const node = builder.node();
  builder.resistor(input, node, 1000);
  if (builder.random.chance(0.5)) {
    builder.diode(node, builder.high);
    builder.diode(builder.low, node);
  } else {
    builder.diode(node, 'gnd');
    builder.diode('gnd', node);
  }
  if (builder.random.chance(0.2)) {
    const held = builder.node();
    builder.voltage(held, builder.low, builder.supply * builder.random.between(0.2, 0.8));
    builder.diode(node, held);
  }
  return node;
};

export const PLAIN_BLOCKS: readonly Block[] = [
  follower,
  commonEmitter,
  complementaryPair,
  longTailedPair,
  darlington,
  complementaryDarlington,
  mirror,
  commonBase,
  clamp,
];
