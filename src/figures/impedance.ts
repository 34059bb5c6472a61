/** Impedances and gain against frequency over the whole band: magnitude above, phase beneath. */
import type { ImpedanceAnswer, PhasorCurve } from '../answers/types.ts';
import { log10 } from '../numerics/elementary.ts';
import { say } from '../words/numbers.ts';
import { type Axis, extent, type Line, type Mark, type Panel, type Scene, widened } from './scene.ts';

const DECIBELS_PER_DECADE = 20;

function decibels(magnitude: number | null): number | null {
  return magnitude === null || magnitude <= 0 ? null : DECIBELS_PER_DECADE * log10(magnitude);
}

/** Phase as a line: the sample nearest to the one before, so that it does not jump by 360°. */
function unwrapped(phase: readonly (number | null)[]): (number | null)[] {
  let before: number | null = null;
  return phase.map((value) => {
    if (value === null || !Number.isFinite(value)) return null;
    const turned: number = before === null ? value : value + 360 * Math.round((before - value) / 360);
    before = turned;
    return turned;
  });
}

function positive(values: readonly (number | null)[]): (number | null)[] {
  return values.map((value) => (value !== null && value > 0 ? value : null));
}

const symbol = (letter: string, sub: string): Line => [
  { text: letter, bold: true },
  { text: sub, bold: true, drop: true },
];

function angleAxis(curves: readonly (readonly (number | null)[])[]): Axis {
  const [low, high] = widened(extent(...curves) ?? [0, 0], 90);
  return { name: 'phase', unit: '°', from: low, to: high, scale: 'linear', steps: 'angle' };
}

/** A logarithmic axis of at least one decade round the data. */
function decades(values: readonly (readonly (number | null)[])[], name: string | undefined): Axis {
  const [low, high] = extent(...values) ?? [1, 10];
  const narrow = high / low < 10;
  const middle = Math.sqrt(low * high);
  return { name, unit: 'Ω', from: narrow ? middle / Math.sqrt(10) : low, to: narrow ? middle * Math.sqrt(10) : high, scale: 'logarithmic' };
}

/** The scene of an impedance answer. */
export function impedanceScene(answer: ImpedanceAnswer): Scene {
  const { frequency } = answer.curve;
  const ends = extent(frequency) ?? [1, 10];
  const x: Axis = { unit: 'Hz', from: ends[0], to: ends[1], scale: 'logarithmic' };
  const drive = answer.frequency >= ends[0] && answer.frequency <= ends[1] ? answer.frequency : null;
  const driveLine = (labelled: boolean): Mark[] =>
    drive === null
      ? []
      : [{ kind: 'guide', along: 'y', at: drive, look: 'mark', label: labelled ? [{ text: `drive, ${say(drive, 'Hz')}` }] : undefined }];

  const zIn = positive(answer.curve.inputImpedance.magnitude);
  const zOut = positive(answer.curve.outputImpedance.magnitude);
  const phaseOf = (curve: PhasorCurve): (number | null)[] => unwrapped(curve.phase);
  const inPhase = phaseOf(answer.curve.inputImpedance);
  const outPhase = phaseOf(answer.curve.outputImpedance);
  const points: Mark[] = [];
  if (drive !== null) {
    for (const phasor of [answer.inputImpedance, answer.outputImpedance]) {
      if (phasor.magnitude !== null && phasor.magnitude > 0)
        points.push({
          kind: 'point',
          x: drive,
          y: phasor.magnitude,
          look: 'ring',
          label: [{ text: `${say(phasor.magnitude, 'Ω')}, ${say(phasor.phase, '°', { figures: 2 })}` }],
        });
    }
  }
  const impedance: Panel = {
    x,
    y: decades([zIn, zOut], undefined),
    height: 176,
    marks: [
      ...driveLine(true),
      { kind: 'trace', x: frequency, y: zIn, look: 'volt', label: symbol('Z', 'in') },
      { kind: 'trace', x: frequency, y: zOut, look: 'second', label: symbol('Z', 'out') },
      ...points,
    ],
    showX: false,
  };
  const impedancePhase: Panel = {
    x,
    y: angleAxis([inPhase, outPhase]),
    height: 76,
    marks: [
      ...driveLine(false),
      { kind: 'trace', x: frequency, y: inPhase, look: 'volt' },
      { kind: 'trace', x: frequency, y: outPhase, look: 'second' },
    ],
    showX: true,
  };

  const gain = answer.curve.overallGain.magnitude.map(decibels);
  const gainPhase = phaseOf(answer.curve.overallGain);
  const corners: Mark[] = [];
  for (const corner of [answer.lowCorner, answer.highCorner]) {
    if (corner === null || corner < ends[0] || corner > ends[1]) continue;
    const nearest = frequency.reduce(
      (best, f, k) => (Math.abs(log10(f / corner)) < Math.abs(log10(frequency[best] / corner)) ? k : best),
      0,
    );
    const level = gain[nearest];
    corners.push({ kind: 'guide', along: 'y', at: corner, look: 'mark' });
    if (level !== null)
      corners.push({ kind: 'point', x: corner, y: level, look: 'ring', label: [{ text: `\u22123\u00a0dB at ${say(corner, 'Hz')}` }] });
  }
  const [lowest, highest] = widened(extent(gain) ?? [0, 0], 6);
  const gainPanel: Panel = {
    x,
    y: { name: 'gain from generator', unit: 'dB', from: lowest, to: highest, scale: 'linear' },
    height: 176,
    marks: [{ kind: 'trace', x: frequency, y: gain, look: 'volt', label: [{ text: 'gain', bold: true }] }, ...corners],
    showX: false,
  };
  const gainPhasePanel: Panel = {
    x,
    y: angleAxis([gainPhase]),
    height: 76,
    marks: [...corners.filter((mark) => mark.kind === 'guide'), { kind: 'trace', x: frequency, y: gainPhase, look: 'second' }],
    showX: true,
  };
  const gaps = gain.filter((value) => value === null).length;
  return {
    name: 'impedance',
    title: 'Impedances and gain against frequency',
    description: `At ${say(answer.frequency, 'Hz')} the input impedance is ${say(answer.inputImpedance.magnitude, 'Ω')} and the output impedance ${say(answer.outputImpedance.magnitude, 'Ω')}.`,
    columns: [
      [impedance, impedancePhase],
      [gainPanel, gainPhasePanel],
    ],
    notes: gaps === 0 ? [] : [gaps === 1 ? 'One point has no gain and is left out.' : `${gaps} points have no gain and are left out.`],
  };
}
