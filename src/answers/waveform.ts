/** What comes out with this drive, once settled, or from switch-on? */

import { largestCurrent } from '../circuit/device-figures.ts';
import type { Kernel } from '../circuit/kernel.ts';
import { regionOf, thresholdAtRest } from '../explain/states.ts';
import { StretchCauses } from '../explain/stretch-cause.ts';
import { type DeviceHistory, historyOf, type StateStretch } from '../explain/stretches.ts';
import { type Quadrature, quadratureOf, valuesAt } from '../measure/integrals.ts';
import { measureUnknown } from '../measure/measures.ts';
import { spectrumOf } from '../measure/spectrum.ts';
import { log, square } from '../numerics/elementary.ts';
import { emfPeak, shapeOf } from '../solve/generator.ts';
import { type Orbit, orbitAt, stepAt, stepsOf } from '../solve/orbit.ts';
import { currentsAlong } from '../solve/orbit-currents.ts';
import { ACCURATE, NotSettled, type PeriodicOptions } from '../solve/periodic.ts';
import { polesAt } from '../solve/poles.ts';
import type { Stage } from '../solve/stage.ts';
import { RunFailed, runFrom, switchedOn } from '../solve/transient.ts';
import { base, KELVIN, noAnswer, quiescentNotes } from './common.ts';
import { departureOf, linearOrbit } from './departure.ts';
import { helpFor } from './help.ts';
import type { Note } from './notes.ts';
import { type MovingDrive, movingDrive, type Settled, settle } from './settle.ts';
import { SPANS, staticLimits, supplySpan } from './static-limits.ts';
import { sideOf, worstStretch } from './told.ts';
import type { AskOptions, Cause, Help, NoAnswer, WaveformAnswer } from './types.ts';
import { BRIEF, type Warm } from './warm.ts';

const USUAL_SAMPLES = 512;
const USUAL_HARMONICS = 20;
/** A run from switch-on lasts this many periods, or this many of the slowest time constant, whichever is more. */
const PERIODS = 20;
const TIME_CONSTANTS = 5;
/** Instant just after switch-on, as a share of the run: long against nothing, short against everything. */
const SWITCH = 1e-15;
/** s: a run in which nothing moves; any length shows that. */
const STILL = 1e-3;
/** A multiplier above this is not settled; below it rounding may have made it. */
const UNSETTLED = 1 + 1e-9;

export function waveformAnswer(stage: Stage, options: AskOptions, isothermal: boolean, warm?: Warm): WaveformAnswer | NoAnswer {
  const { sheet, network } = stage;
  if (network.generator < 0) return noAnswer('waveform', sheet, { kind: 'no-drive', needs: 'drive' });
  const drive = movingDrive(sheet);
  if (options.fromRest && (drive?.amplitude || sheet.drive?.waveform === 'none')) return fromRest(stage, drive, options);
  if (!drive?.amplitude) return noAnswer('waveform', sheet, { kind: 'no-drive', needs: drive ? 'amplitude' : 'frequency' });
  return settledAnswer(stage, drive, options, isothermal, warm);
}

function settledAnswer(
  stage: Stage,
  drive: MovingDrive,
  options: AskOptions,
  isothermal: boolean,
  warm: Warm | undefined,
): WaveformAnswer | NoAnswer {
  const accuracy = warm ? BRIEF : ACCURATE;
  const { sheet, kernel } = stage;
  const restNotes = quiescentNotes(stage, isothermal);
  let settled: Settled;
  try {
    settled = warm ? warm.settle(stage, drive) : settle(stage, drive);
  } catch (e) {
    if (!(e instanceof NotSettled)) throw e;
    return unsettled(stage, drive, null, e.shots);
  }
  const largest = settled.multipliers[0];
  if (largest && largest.size > UNSETTLED) return unsettled(stage, drive, largest, settled.shots);
  const notes: Note[] = [...restNotes];
  if (drive.atNode) notes.push({ kind: 'amplitude-at-node', node: drive.node, peakToPeak: 2 * settled.peak });
  const harmonics = Math.max(2, options.harmonics ?? USUAL_HARMONICS);
  const common = describe(stage, settled.orbit, options, harmonics, settled.temperatures);
  // The test of the limits takes a while to set up: not where there is nothing to explain.
  const odd = common.answer.stretches.length + common.answer.turnedOn.length > 0;
  const causes = odd ? stretchCauses(stage, drive, settled, common.history.stretches, warm) : null;
  common.answer.stretches.forEach((s, k) => {
    s.cause = causes?.causeOf(common.history.stretches[k]) ?? null;
  });
  for (const on of common.answer.turnedOn) {
    const device = deviceNames(stage).indexOf(on.part);
    on.cause = causes?.causeOf({ device, state: 'active', from: on.from, to: on.to }, true) ?? null;
  }
  const help = (options.help ?? true) ? { help: helpAgainst(stage, isothermal, { ...common.answer, period: 1 / drive.frequency }) } : {};
  kernel.setTemperatures(settled.temperatures);
  const spectrum = spectrumWithDeparture(stage, drive, settled, common, harmonics, accuracy);
  if (drive.waveform !== 'sine')
    notes.push({
      kind: 'drive-harmonics',
      waveform: drive.waveform as 'triangle' | 'square',
      departure: spectrum?.distortion.departure ?? null,
    });
  kernel.setTemperatures(settled.temperatures);
  const outputPower = powerInLoad(kernel, settled.orbit, common.quadrature, common.values);
  const supplyPower = Object.values(common.supplies).reduce((sum, s) => sum + s.meanPower, 0);
  return {
    ...base('waveform', sheet, notes),
    period: 1 / drive.frequency,
    settled: true,
    multiplier: largest?.size ?? 0,
    ...common.answer,
    ...help,
    ...(spectrum ? { spectrum } : {}),
    outputPower,
    efficiency: outputPower !== null && supplyPower > 0 ? outputPower / supplyPower : null,
  };
}

/** Help against the stretch that is told first, by the static limit on its side. */
function helpAgainst(
  stage: Stage,
  isothermal: boolean,
  told: Parameters<typeof sideOf>[1] & Pick<WaveformAnswer, 'stretches'>,
): Help | null {
  const worst = worstStretch(told.stretches);
  const side = worst && stage.sheet.output !== undefined ? sideOf(worst, told, stage.sheet.output) : undefined;
  if (!worst?.cause || side === undefined) return null;
  stage.kernel.setTemperatures(stage.temperatures);
  const found = staticLimits(stage);
  return found && helpFor(stage, isothermal, side, worst.cause, found);
}

function stretchCauses(
  stage: Stage,
  drive: MovingDrive,
  settled: Settled,
  stretches: StateStretch[],
  warm: Warm | undefined,
): StretchCauses {
  const shape = shapeOf(drive);
  const span = supplySpan(stage.sheet);
  stage.kernel.setTemperatures(stage.temperatures);
  return new StretchCauses(
    {
      stage,
      orbit: settled.orbit,
      linear: warm ? warm.response(stage, drive, settled.peak) : linearOrbit(stage, drive, settled.peak),
      period: 1 / drive.frequency,
      emf: (t) => drive.offset + settled.peak * shape.at(t * drive.frequency),
      temperatures: settled.temperatures,
      stretches,
      brief: warm !== undefined,
    },
    SPANS * span,
    span,
  );
}

/** What settled answers and runs from rest share. */
function describe(stage: Stage, orbit: Orbit, options: AskOptions, cycles: number, temperatures: Float64Array) {
  const { kernel, network } = stage;
  const nodes = network.nodes.length;
  const span = orbit.mesh[stepsOf(orbit)];
  const samples = Math.max(2, options.samples ?? USUAL_SAMPLES);
  const time = Array.from({ length: samples }, (_, k) => (k * span) / samples);
  const named = network.nodes.slice(0, network.named);
  const traces: number[][] = named.map(() => []);
  const x = new Float64Array(orbit.n);
  for (const t of time) {
    orbitAt(orbit, t, nodes, x);
    for (let i = 0; i < named.length; i++) traces[i].push(x[i]);
  }
  const quadrature = quadratureOf(orbit, cycles);
  const values = valuesAt(orbit, quadrature, nodes);
  const history = historyOf(kernel, orbit);
  const supplies: WaveformAnswer['supplies'] = {};
  network.branches.forEach((b, k) => {
    if (b.kind !== 'supply') return;
    let sum = 0;
    for (let q = 0; q < quadrature.weight.length; q++) sum -= quadrature.weight[q] * values[q * orbit.n + nodes + k];
    supplies[b.part] = { meanCurrent: sum / span, meanPower: (b.emf * sum) / span };
  });
  const instants = time.map((t) => {
    const step = stepAt(orbit, t);
    return { step, share: (t - orbit.mesh[step]) / (orbit.mesh[step + 1] - orbit.mesh[step]) };
  });
  const answer = {
    time,
    currents: currentsAlong(kernel, orbit, instants),
    nodes: Object.fromEntries(named.map((name, i) => [name, traces[i]])),
    measures: Object.fromEntries(named.map((name, i) => [name, measureUnknown(orbit, i, quadrature, values)])),
    stretches: history.stretches.map((s) => ({
      part: deviceNames(stage)[s.device],
      state: s.state,
      from: s.from,
      to: s.to,
      cause: null as Cause | null,
    })),
    turnedOn: turnedOn(stage, history, span),
    parts: partsOf(stage, history, temperatures),
    supplies,
  };
  return { answer, quadrature, values, supplies, history };
}

function deviceNames(stage: Stage): string[] {
  return [...stage.network.transistors, ...stage.network.diodes].map((d) => d.part);
}

function partsOf(stage: Stage, history: DeviceHistory, temperatures: Float64Array): WaveformAnswer['parts'] {
  const count = stage.network.transistors.length;
  return Object.fromEntries(
    Array.from(history.meanPower, (meanDissipation, k) => [
      deviceNames(stage)[k],
      {
        meanDissipation,
        peakDissipation: history.peakPower[k],
        junctionTemperature: temperatures[k] - KELVIN,
        ...(k < count ? { peakCollectorCurrent: history.peakCurrent[k] } : {}),
      },
    ]),
  );
}

/** Devices that are off at rest, where they conduct. */
function turnedOn(stage: Stage, history: DeviceHistory, span: number): WaveformAnswer['turnedOn'] {
  const { kernel, x } = stage;
  kernel.evaluate(x, null, false);
  const threshold = thresholdAtRest(largestCurrent(kernel, x));
  const devices = history.thresholds.length;
  const on: WaveformAnswer['turnedOn'] = [];
  const restOff = Array.from({ length: devices }, (_, k) => regionOf(kernel, k, threshold) === 'off');
  for (let k = 0; k < devices; k++) {
    if (!restOff[k]) continue;
    const off = history.stretches.filter((s) => s.device === k && s.state === 'off').sort((a, b) => a.from - b.from);
    const part = deviceNames(stage)[k];
    off.forEach((s, i) => {
      const from = s.to;
      const to = i + 1 < off.length ? off[i + 1].from : off[0].from + span;
      if (to > from) on.push({ part, from, to, cause: null });
    });
    if (off.length === 0) on.push({ part, from: 0, to: span, cause: null });
  }
  return on;
}

function spectrumWithDeparture(
  stage: Stage,
  drive: MovingDrive,
  settled: Settled,
  common: { quadrature: Quadrature; values: Float64Array },
  harmonics: number,
  accuracy: PeriodicOptions,
): WaveformAnswer['spectrum'] | null {
  const { network } = stage;
  const out = network.outputNode;
  if (out < 0) return null;
  const period = 1 / drive.frequency;
  const { quadrature, values } = common;
  const s = spectrumOf(quadrature, period, values, settled.orbit.n, out, harmonics);
  const departure = drive.waveform === 'sine' ? undefined : departureOf(stage, drive, settled, quadrature, values, s.mean, accuracy);
  return {
    fundamental: s.fundamental,
    harmonics: s.harmonics,
    distortion: { ...s.distortion, ...(departure === undefined ? {} : { departure }) },
  };
}

/** Mean power of the output's alternating part in the load's resistances, W; null where the load has none. */
function powerInLoad(kernel: Kernel, orbit: Orbit, quadrature: Quadrature, values: Float64Array): number | null {
  const { network } = kernel;
  const nodes = network.nodes.length;
  let power: number | null = null;
  const variance = (at: (k: number) => number): number => {
    let sum = 0;
    let span = 0;
    for (let k = 0; k < quadrature.weight.length; k++) {
      sum += quadrature.weight[k] * at(k);
      span += quadrature.weight[k];
    }
    const mean = sum / span;
    let squares = 0;
    for (let k = 0; k < quadrature.weight.length; k++) squares += quadrature.weight[k] * square(at(k) - mean);
    return squares / span;
  };
  const v = (k: number, i: number): number => (i < 0 ? 0 : values[k * orbit.n + i]);
  for (const r of network.resistors) if (r.ofLoad && !r.inner) power = (power ?? 0) + variance((k) => v(k, r.a) - v(k, r.b)) / r.resistance;
  network.branches.forEach((b, j) => {
    if (b.ofLoad && !b.inner && b.resistance > 0) power = (power ?? 0) + variance((k) => values[k * orbit.n + nodes + j]) * b.resistance;
  });
  return power;
}

/** Why a period did not settle: it oscillates or divides where a natural frequency grows, else nothing was found. */
function unsettled(stage: Stage, drive: MovingDrive, multiplier: { re: number; im: number; size: number } | null, shots: number): NoAnswer {
  const growing = (polesAt(stage.kernel, stage.x) ?? []).filter((p) => p.re > 0).sort((a, b) => b.re - a.re)[0];
  if (!growing && !multiplier) {
    return noAnswer('waveform', stage.sheet, {
      kind: 'not-settled',
      residual: Number.POSITIVE_INFINITY,
      tried: [{ kind: 'shooting', iterations: shots }],
    });
  }
  return noAnswer('waveform', stage.sheet, {
    kind: 'oscillates',
    frequency: growing && growing.im !== 0 ? Math.abs(growing.im) / (2 * Math.PI) : null,
    multiplier: multiplier?.size ?? Number.POSITIVE_INFINITY,
    timeConstant: growing ? 1 / growing.re : multiplier ? 1 / (drive.frequency * log(multiplier.size)) : null,
  });
}

/** The run from switch-on; without a moving drive, of a generator that stands at its offset. */
function fromRest(stage: Stage, drive: MovingDrive | null, options: AskOptions): WaveformAnswer | NoAnswer {
  const { sheet, kernel } = stage;
  const ambient = new Float64Array(stage.temperatures.length).fill(sheet.ambient);
  const slowest = Math.max(0, ...(polesAt(kernel, stage.x) ?? []).map((p) => (p.re < 0 ? -1 / p.re : 0)));
  const period = drive ? 1 / drive.frequency : null;
  const duration = options.duration ?? (Math.max(PERIODS * (period ?? 0), TIME_CONSTANTS * slowest) || STILL);
  kernel.setTemperatures(ambient);
  const { emf, corners } = drive ? emfFrom(stage, drive, duration) : { emf: () => sheet.drive?.offset ?? 0, corners: [] };
  kernel.setTemperatures(ambient);
  let orbit: Orbit;
  try {
    orbit = runFrom(kernel, switchedOn(kernel, emf(0), duration * SWITCH), { emf, corners }, duration);
  } catch (e) {
    if (!(e instanceof RunFailed)) throw e;
    return noAnswer('waveform', sheet, { kind: 'did-not-converge', at: { quantity: 'time', value: e.time }, tried: [] });
  }
  const common = describe(stage, orbit, options, 1, ambient);
  return {
    ...base('waveform', sheet, [
      ...quiescentNotes(stage, true).filter((n) => n.kind !== 'isothermal'),
      { kind: 'starts-discharged', ambient: sheet.ambient - KELVIN },
    ]),
    period,
    settled: false,
    duration,
    ...common.answer,
    outputPower: null,
    efficiency: null,
  };
}

/** The generator from t = 0 on, and the instants at which its slope jumps. */
function emfFrom(stage: Stage, drive: MovingDrive, duration: number): { emf: (t: number) => number; corners: number[] } {
  const period = 1 / drive.frequency;
  const peak = drive.atNode ? settle(stage, drive).peak : (emfPeak(stage.sheet) ?? 0);
  const shape = shapeOf(drive);
  const corners: number[] = [];
  for (let p = 0; p * period < duration; p++) for (const c of shape.corners) corners.push((p + c) * period);
  return { emf: (t) => drive.offset + peak * shape.at(t / period), corners };
}
