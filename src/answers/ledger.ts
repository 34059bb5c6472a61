/** The ledger of an answer: the rules of thumb that fit the stage, beside the answer's own figures. */

import { conductionOf } from '../circuit/device-figures.ts';
import { DEVICE_SLOPES } from '../circuit/kernel.ts';
import type { RestFacts } from '../explain/pencil/facts.ts';
import { biasResistors, impedanceLedger, type SignalFigures } from '../explain/pencil/impedance.ts';
import { quiescentLedger } from '../explain/pencil/quiescent.ts';
import { type End, type SwingFigures, swingLedger } from '../explain/pencil/swing.ts';
import { type WaveformFigures, waveformLedger } from '../explain/pencil/waveform.ts';
import { rolesOf } from '../explain/roles.ts';
import { SignalGraph } from '../explain/roles-graph.ts';
import { hypot } from '../numerics/elementary.ts';
import { polesAt } from '../solve/poles.ts';
import { divide, LinearStage, magnitude } from '../solve/small-signal.ts';
import type { Stage } from '../solve/stage.ts';
import { partFigures } from './quiescent.ts';
import type { Answer, ImpedanceAnswer, LedgerEntry, NoAnswer, SwingAnswer, SwingLimit, WaveformAnswer } from './types.ts';

/** What the rules stand on, from a stage that stands at rest. */
export function restFacts(stage: Stage): RestFacts {
  const { sheet, network, x } = stage;
  const figures = partFigures(stage);
  return {
    sheet,
    graph: new SignalGraph(sheet),
    roles: rolesOf(sheet),
    nodes: Object.fromEntries(network.nodes.slice(0, network.named).map((name, i) => [name, x[i]])),
    transistors: Object.fromEntries(Object.entries(figures).flatMap(([name, f]) => ('collectorCurrent' in f ? [[name, f]] : []))),
    diodes: Object.fromEntries(
      Object.entries(figures).flatMap(([name, f]) => ('region' in f && 'current' in f && f.region === 'active' ? [[name, f.current]] : [])),
    ),
    voltsPerKelvin: voltsPerKelvin(stage),
  };
}

/** K: half the step of temperature over which the drift of V_BE is taken. */
const STEP = 0.5;

/**
 * How V_BE moves with the temperature of a junction that warms itself, at a constant collector current: the current's
 * change with temperature over its change with V_BE. In the kernel's sense, of an NPN.
 */
function voltsPerKelvin(stage: Stage): Record<string, number> {
  const { kernel, network, paths, temperatures, x } = stage;
  const currentsAt = (kelvin: number): number[] => {
    kernel.setTemperatures(temperatures.map((t) => t + kelvin));
    kernel.evaluate(x, null, false);
    return network.transistors.map((_, k) => conductionOf(kernel, k).collectorCurrent);
  };
  const [warmer, colder] = [currentsAt(STEP), currentsAt(-STEP)];
  kernel.setTemperatures(temperatures);
  kernel.evaluate(x, null, false);
  const slopes = network.transistors.flatMap(({ part }, k) => {
    const [ce, cc] = kernel.slopes.subarray(DEVICE_SLOPES * k, DEVICE_SLOPES * (k + 1));
    const steepness = ce + cc;
    if (!paths.warm.some((w) => paths.names[w] === part) || !(steepness > 0)) return [];
    return [[part, -(warmer[k] - colder[k]) / (2 * STEP * steepness)] as const];
  });
  return Object.fromEntries(slopes);
}

/** The answer with its ledger. */
export function withLedger(answer: Answer | NoAnswer, stage: Stage, facts: RestFacts): Answer | NoAnswer {
  return 'failure' in answer ? answer : { ...answer, ledger: ledgerOf(answer, stage, facts) };
}

function ledgerOf(answer: Answer, stage: Stage, facts: RestFacts): LedgerEntry[] {
  switch (answer.question) {
    case 'quiescent':
      return quiescentLedger(facts);
    case 'impedance':
      return impedanceLedger(facts, signalFigures(answer, stage, biasResistors(facts)));
    case 'swing':
      return swingLedger(facts, swingFigures(answer));
    case 'waveform':
      return answer.settled ? waveformLedger(facts, waveformFigures(answer, facts)) : [];
  }
}

function signalFigures(answer: ImpedanceAnswer, stage: Stage, bias: readonly string[]): SignalFigures {
  const { magnitude: size, phase } = answer.gain;
  return {
    frequency: answer.frequency,
    gain: size === null || phase === null ? null : Math.abs(phase) > 90 ? -size : size,
    inputImpedance: answer.inputImpedance.magnitude,
    withoutBias: inputWithout(stage, bias, answer.frequency),
    outputImpedance: answer.outputImpedance.magnitude,
    lowCorner: answer.lowCorner,
    ringing: ringingOf(stage),
    corners: cornersAlone(stage, answer.frequency),
  };
}

/** A pair of poles damped by less than this share of the critical damping rings. Common practice, no source: 1/√2. */
const RINGS = 0.7;

function ringingOf(stage: Stage): number | null {
  const pairs = (polesAt(stage.kernel, stage.x) ?? [])
    .filter((pole) => pole.im > 0)
    .map((pole) => ({ size: hypot(pole.re, pole.im), damping: -pole.re / hypot(pole.re, pole.im) }))
    .filter(({ damping }) => damping < RINGS)
    .sort((a, b) => a.damping - b.damping);
  return pairs.length > 0 ? pairs[0].size / (2 * Math.PI) : null;
}

/** What the generator sees with some resistors taken out of the linearised stage, Ω; null where one of them is none of the network's. */
function inputWithout(stage: Stage, parts: readonly string[], frequency: number): number | null {
  const { kernel, network, x } = stage;
  const elements = parts.map((part) => network.resistors.findIndex((r) => r.part === part && !r.ofLoad && !r.inner));
  if (elements.length === 0 || elements.some((k) => k < 0)) return null;
  const linear = new LinearStage(kernel, x);
  for (const k of elements) linear.withoutResistor(k);
  if (!linear.at(2 * Math.PI * frequency)) return null;
  const generator = network.nodes.length + network.generator;
  linear.solve([[generator, 1]]);
  const seen = divide(linear.value(network.driveNode), linear.value(generator));
  return Number.isFinite(seen.re) && Number.isFinite(seen.im) ? magnitude(seen) : null;
}

/** The corner of every capacitor with what the rest of the stage offers at its terminals at a frequency. */
function cornersAlone(stage: Stage, frequency: number): Record<string, number> {
  const { kernel, network, x } = stage;
  const full = new LinearStage(kernel, x);
  const corners: Record<string, number> = {};
  network.capacitors.forEach(({ part, a, b, capacitance, ofLoad, inner }, k) => {
    if (ofLoad || inner) return;
    const without = full.copy();
    without.withoutCapacitor(k);
    if (!without.at(2 * Math.PI * frequency)) return;
    without.solve([
      [a, 1],
      [b, -1],
    ]);
    corners[part] = 1 / (2 * Math.PI * capacitance * magnitude(without.difference(a, b)));
  });
  return corners;
}

function swingFigures(answer: SwingAnswer): SwingFigures {
  const end = (limit: SwingLimit | null): End | null =>
    limit && { volts: limit.flat?.volts ?? limit.volts, part: limit.cause.part, event: limit.cause.event };
  return { quiescentOutput: answer.quiescentOutput, high: end(answer.high), low: end(answer.low), deadZone: answer.deadZone };
}

function waveformFigures(answer: WaveformAnswer, { sheet }: RestFacts): WaveformFigures {
  return {
    distortion: answer.spectrum?.distortion.relativeToFundamental ?? null,
    fundamental: answer.spectrum?.fundamental.magnitude ?? null,
    outputPeak: sheet.output === undefined ? Number.NaN : 0.5 * (answer.measures[sheet.output]?.peakToPeak ?? Number.NaN),
    outputPower: answer.outputPower,
    peakDissipation: Object.fromEntries(Object.entries(answer.parts).map(([name, f]) => [name, f.peakDissipation])),
  };
}
