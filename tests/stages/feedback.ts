/** Blocks with feedback: those that may latch, and those whose direct current is held by a loop. */
import type { Block } from './blocks.ts';

/** Two common-emitter stages, each collector on the other's base: three solutions when the loop gain exceeds one. */
export const crossCoupled: Block = (builder, input) => {
  const { random } = builder;
  const kind = random.pick(['npn', 'pnp'] as const);
  const [top, foot] = kind === 'npn' ? [builder.high, builder.low] : [builder.low, builder.high];
  const [c1, c2, b1, b2] = [builder.node(), builder.node(), builder.node(), builder.node()];
  builder.resistor(top, c1, 2200);
  builder.resistor(top, c2, 2200);
  builder.resistor(c1, b2, 22e3);
  builder.resistor(c2, b1, 22e3);
  if (random.chance(0.5)) {
    builder.resistor(b1, foot, 10e3);
    builder.resistor(b2, foot, 10e3);
  }
  builder.resistor(input, b1, 100e3);
  const first = builder.transistor(kind, c1, b1, foot);
  builder.transistor(kind, c2, b2, foot, random.chance(0.5) ? first : undefined);
  return c2;
};

/** Emitter-coupled trigger: the second base hangs on the first collector. */
export const trigger: Block = (builder, input) => {
  const [c1, c2, b2, common, base] = [builder.node(), builder.node(), builder.node(), builder.node(), builder.node()];
  builder.resistor(input, base, 4700);
  builder.resistor(builder.high, c1, 4700);
  builder.resistor(c1, b2, 10e3);
  builder.resistor(b2, builder.low, 22e3);
  builder.resistor(builder.high, c2, 2200);
  builder.resistor(common, builder.low, 470);
  const first = builder.transistor('npn', c1, base, common);
  builder.transistor('npn', c2, b2, common, builder.random.chance(0.5) ? first : undefined);
  return c2;
};

/** Four layers: an NPN and a PNP, each collector on the other's base. */
export const fourLayer: Block = (builder, input) => {
  const [upper, lower, anode] = [builder.node(), builder.node(), builder.node()];
  builder.resistor(builder.high, anode, 1000);
  builder.transistor('pnp', lower, upper, anode);
  builder.transistor('npn', upper, lower, builder.low);
  builder.resistor(anode, upper, 4700);
  builder.resistor(lower, builder.low, 4700);
  builder.resistor(input, lower, 47e3);
  return anode;
};

/** Follower whose bias resistor is bootstrapped from its own output, direct as well as through the capacitor. */
export const bootstrap: Block = (builder, input) => {
  const [base, middle, emitter] = [builder.node(), builder.node(), builder.node()];
  builder.capacitor(input, base);
  builder.resistor(builder.high, middle, 82e3);
  builder.resistor(middle, builder.low, 68e3);
  builder.resistor(base, middle, 39e3);
  builder.capacitor(emitter, middle);
  if (builder.random.chance(0.3)) builder.resistor(emitter, middle, 10e3);
  builder.transistor('npn', builder.high, base, emitter);
  builder.resistor(emitter, builder.low, 1200);
  return emitter;
};

/** Two direct-coupled gain stages, biased from the second emitter back to the first base. */
export const feedbackPair: Block = (builder, input) => {
  const [base, c1, c2, e1, e2] = [builder.node(), builder.node(), builder.node(), builder.node(), builder.node()];
  builder.capacitor(input, base);
  builder.resistor(builder.high, c1, 33e3);
  builder.resistor(e1, builder.low, 100);
  builder.resistor(builder.high, c2, 3300);
  builder.resistor(e2, builder.low, 680);
  builder.resistor(e2, base, 100e3);
  builder.transistor('npn', c1, base, e1);
  builder.transistor('npn', c2, c1, e2);
  if (builder.random.chance(0.4)) builder.resistor(c2, e1, 2200);
  return c2;
};

/** Long-tailed pair, PNP gain stage and biased pair, with all of the output fed back: an amplifier's usual skeleton. */
export const loopAmplifier: Block = (builder, input) => {
  const { random } = builder;
  const [common, left, right, second, drive, upper, lower, output] = Array.from({ length: 8 }, () => builder.node()) as [
    string,
    string,
    string,
    string,
    string,
    string,
    string,
    string,
  ];
  const base = random.chance(0.5) ? input : builder.node();
  if (base !== input) {
    builder.capacitor(input, base);
    builder.resistor(base, 'gnd', 22e3);
  }
  builder.resistor(builder.high, left, 680);
  builder.resistor(builder.high, right, 680);
  builder.resistor(common, builder.low, 6800);
  const first = builder.transistor('npn', left, base, common);
  builder.transistor('npn', right, second, common, first);
  builder.transistor('pnp', drive, left, builder.high);
  builder.resistor(upper, drive, 1);
  builder.diode(upper, lower);
  if (random.chance(0.5)) builder.resistor(upper, lower, 220);
  builder.resistor(lower, builder.low, 2200);
  builder.transistor('npn', builder.high, upper, output);
  builder.transistor('pnp', builder.low, lower, output);
  builder.resistor(output, second, 10e3);
  builder.resistor(second, 'gnd', 1000);
  return output;
};

/** Emitter followers of both polarities holding each other's bias: a loop with positive direct gain near one. */
export const mutualSinks: Block = (builder, input) => {
  const [a, b, e1, e2] = [builder.node(), builder.node(), builder.node(), builder.node()];
  builder.transistor('npn', a, b, e1);
  builder.transistor('pnp', b, a, e2);
  builder.resistor(e1, builder.low, 470);
  builder.resistor(e2, builder.high, 470);
  builder.resistor(a, builder.high, 10e3);
  builder.resistor(b, builder.low, 10e3);
  builder.resistor(input, b, 100e3);
  return a;
};

export const FEEDBACK_BLOCKS: readonly Block[] = [crossCoupled, trigger, fourLayer, bootstrap, feedbackPair, loopAmplifier, mutualSinks];
