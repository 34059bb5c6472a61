/** What do source and load see, and over which band? */
import { atan2, pow } from '../numerics/elementary.ts';
import { decades, findCorners } from '../solve/corners.ts';
import { type Complex, magnitude, SeenFrom } from '../solve/small-signal.ts';
import type { Stage } from '../solve/stage.ts';
import { base, noAnswer, quiescentNotes } from './common.ts';
import type { Note } from './notes.ts';
import { staticLimits } from './static-limits.ts';
import type { AskOptions, ImpedanceAnswer, NoAnswer, Phasor, PhasorCurve } from './types.ts';

/** Hz: taken where neither sheet nor question names a frequency. */
const USUAL_FREQUENCY = 1000;
/** Points of the curve per decade, where the question does not say. */
const PER_DECADE = 20;
/** The same while a knob turns. */
const PER_DECADE_BRIEFLY = 8;
/** Decades shown beyond the corners and the drive, and where nothing bends. */
const MARGIN = 1;

function phasor(z: Complex | null): Phasor {
  if (!z) return { magnitude: null, phase: null };
  return { magnitude: magnitude(z), phase: (atan2(z.im, z.re) * 180) / Math.PI };
}

export function impedanceAnswer(stage: Stage, options: AskOptions, isothermal: boolean): ImpedanceAnswer | NoAnswer {
  const { sheet, kernel, x, network } = stage;
  if (network.generator < 0) return noAnswer('impedance', sheet, { kind: 'no-drive', needs: 'drive' });
  if (network.outputNode < 0) return noAnswer('impedance', sheet, { kind: 'no-output' });
  const frequency = options.frequency ?? sheet.drive?.frequency ?? USUAL_FREQUENCY;
  const seen = new SeenFrom(kernel, x);
  const omega = (hertz: number): number => 2 * Math.PI * hertz;
  const gainAt = (hertz: number): number => {
    const g = seen.overallGain(omega(hertz));
    return g ? magnitude(g) : 0;
  };
  const corners = findCorners(gainAt, frequency);
  const here = seen.at(omega(frequency));
  const from = options.from ?? pow(10, Math.floor(decades(1, Math.min(frequency, corners.low ?? frequency))) - MARGIN);
  const to = options.to ?? pow(10, Math.ceil(decades(1, Math.max(frequency, corners.high ?? frequency))) + MARGIN);
  const points = Math.max(2, options.points ?? Math.round(decades(from, to) * (options.brief ? PER_DECADE_BRIEFLY : PER_DECADE)) + 1);
  const curve: ImpedanceAnswer['curve'] = {
    frequency: [],
    gain: emptyCurve(),
    overallGain: emptyCurve(),
    inputImpedance: emptyCurve(),
    outputImpedance: emptyCurve(),
  };
  for (let k = 0; k < points; k++) {
    const f = k === points - 1 ? to : from * pow(to / from, k / (points - 1));
    curve.frequency.push(f);
    const s = seen.at(omega(f));
    for (const key of ['gain', 'overallGain', 'inputImpedance', 'outputImpedance'] as const) {
      const p = phasor(s[key]);
      curve[key].magnitude.push(p.magnitude);
      curve[key].phase.push(p.phase);
    }
  }
  return {
    ...base('impedance', sheet, [...quiescentNotes(stage, isothermal), { kind: 'small-signal' }, ...boundNotes(stage)]),
    frequency,
    gain: phasor(here.gain),
    overallGain: phasor(here.overallGain),
    inputImpedance: phasor(here.inputImpedance),
    outputImpedance: phasor(here.outputImpedance),
    lowCorner: corners.low,
    highCorner: corners.high,
    curve,
  };
}

/** Volts of output within which small-signal figures are meant at all: the smaller room of the static limits. */
function boundNotes(stage: Stage): Note[] {
  const found = staticLimits(stage);
  // A stage that rests in a dead zone has no small signal of its own to bound.
  if (!found || found.limits.nil) return [];
  const { high, low, rest } = found;
  const rooms = [high, low].flatMap((limit) => (limit ? [Math.abs(limit.at.output - rest.output)] : []));
  return rooms.length > 0 ? [{ kind: 'small-signal-bound', volts: Math.min(...rooms) }] : [];
}

function emptyCurve(): PhasorCurve {
  return { magnitude: [], phase: [] };
}
