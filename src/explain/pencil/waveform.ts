/** What a sine leaves of itself by pencil: one-sided clip, dead zone, power in the load and peak heat of a pair. */

import { log } from '../../numerics/elementary.ts';
import type { Transistor } from '../../sheet/types.ts';
import { emfPeak } from '../../solve/generator.ts';
import { legsAt, PENCIL_THERMAL, type RestFacts, rail, railVolts } from './facts.ts';
import { applied, difference, evaluate, type Formula, negative, number, product, quotient, relation, sum, symbol } from './formula.ts';
import { stageGain } from './gain.ts';
import { type LedgerLine, line, type Term } from './line.ts';
import { letsGo, loadOf, type OutputFollower, outputFollowers } from './output.ts';
import { pumped } from './pumping.ts';
import { lookInto } from './seen.ts';

export interface WaveformFigures {
  /** Relative to the fundamental. */
  distortion: number | null;
  /** V peak. */
  fundamental: number | null;
  /** Half of the output's swing from end to end, V. */
  outputPeak: number;
  outputPower: number | null;
  peakDissipation: Record<string, number>;
}

/** V of drive within which neither half of an unbiased pair conducts. Common practice, no source. */
const DEAD = 0.6;

export function waveformLedger(facts: RestFacts, figures: WaveformFigures): LedgerLine[] {
  return [...clipLine(facts, figures), ...deadZoneLine(facts, figures), ...powerLine(facts, figures), ...pairLines(facts, figures)];
}

const PI = symbol('π', Math.PI, 'number');
const HALF_PI = quotient(PI, number(2));
const square = (f: Formula): Formula => product(f, f);
const isSine = (facts: RestFacts): boolean => facts.sheet.drive?.waveform === 'sine';

/** What the drive would give at the output if nothing clipped, V peak. */
function unclipped(facts: RestFacts): Formula | null {
  const { drive } = facts.sheet;
  const peak = emfPeak(facts.sheet);
  const gain = stageGain(facts);
  const input = drive && lookInto(facts, drive.node);
  if (!drive || peak === null || !gain || drive.atNode) return null;
  const gained = symbol('A_v', Math.abs(evaluate(gain)), 'number');
  const emf = symbol('V_S', peak, 'V');
  if (!input) return product(emf, gained);
  const own = symbol('Z_in', evaluate(input), 'Ω');
  return product(emf, gained, quotient(own, sum(symbol('R_S', drive.sourceResistance, 'Ω'), own)));
}

/**
 * Distortion of a sine cut on one side at k of its amplitude: mean (cos θ − k(π/2 − θ))/π, fundamental
 * 1/2 + (θ + k cos θ)/π, mean square 1/4 + (θ/2 − sin 2θ/4 + k²(π/2 − θ))/π with θ = arcsin k (elementary Fourier
 * integrals).
 */
export function oneSidedClip(k: number): Formula {
  const level = symbol('k', k, 'number');
  const theta = applied('arcsin', level);
  const rest = difference(HALF_PI, theta);
  const mean = quotient(difference(applied('cos', theta), product(level, rest)), PI);
  const fundamental = sum(number(0.5), quotient(sum(theta, product(level, applied('cos', theta))), PI));
  const inside = sum(
    quotient(theta, number(2)),
    negative(quotient(applied('sin', product(number(2), theta)), number(4))),
    product(square(level), rest),
  );
  const power = sum(number(0.25), quotient(inside, PI));
  const harmonics = quotient(product(number(2), difference(power, square(mean))), square(fundamental));
  return applied('sqrt', difference(harmonics, number(1)));
}

/**
 * Distortion of a sine through a dead zone of ±k of its amplitude: fundamental 1 − (2/π)(θ + k cos θ), mean square
 * (2/π)((π/2 − θ)/2 + sin 2θ/4 − 2k cos θ + k²(π/2 − θ)) with θ = arcsin k (elementary Fourier integrals).
 */
export function deadZone(k: number): Formula {
  const level = symbol('k', k, 'number');
  const theta = applied('arcsin', level);
  const rest = difference(HALF_PI, theta);
  const twice = quotient(number(2), PI);
  const fundamental = difference(number(1), product(twice, sum(theta, product(level, applied('cos', theta)))));
  const inside = sum(
    quotient(rest, number(2)),
    quotient(applied('sin', product(number(2), theta)), number(4)),
    negative(product(number(2), level, applied('cos', theta))),
    product(square(level), rest),
  );
  return applied('sqrt', difference(quotient(product(number(2), twice, inside), square(fundamental)), number(1)));
}

function clipLine(facts: RestFacts, { distortion }: WaveformFigures): LedgerLine[] {
  const whole = unclipped(facts);
  if (!whole || distortion === null || !isSine(facts)) return [];
  for (const follower of outputFollowers(facts)) {
    const flat = letsGo(facts, follower);
    const output = facts.sheet.output;
    if (!flat || output === undefined) continue;
    const room = Math.abs(evaluate(flat.formula) - (flat.level ? facts.nodes[output] : 0));
    const amplitude = evaluate(whole);
    const k = room / amplitude;
    if (!(k > 0 && k < 1) || meetsItsRail(facts, follower, amplitude)) continue;
    const clipped = (name: string, volts: number): Formula =>
      relation(
        'THD of a sine clipped on one side',
        quotient(symbol(name, volts, 'V'), symbol('V_P', amplitude, 'V')),
        oneSidedClip(volts / amplitude),
      );
    const rule = clipped('V_clip', room);
    const charged = pumped(facts, follower, amplitude);
    const terms: Term[] = charged
      ? [
          {
            what: 'charged-capacitor',
            formula: difference(clipped('V_u', charged.level), rule),
            figures: [{ value: charged.shift, unit: 'V' }],
          },
        ]
      : [];
    return line('distortion of the one-sided clip', 'share', rule, distortion, terms);
  }
  return [];
}

/** True where the sine would be cut on the other side too, at the follower's own rail. */
function meetsItsRail(facts: RestFacts, { t, share }: OutputFollower, amplitude: number): boolean {
  const ends = [t.collector, ...legsAt(facts, t.collector).map((leg) => leg.end)];
  const volts = ends.map((end) => railVolts(facts, end)).find((one) => one !== null);
  return (
    volts !== undefined &&
    volts !== null &&
    amplitude > Math.abs(volts - facts.nodes[t.emitter]) * share.reduce((all, one) => all * evaluate(one), 1)
  );
}

/** V: V_BE where the half's own r_e, V_T/I, is as much as the load: there the slope is half of its greatest. */
function edge(t: Transistor, load: number): number {
  const current = PENCIL_THERMAL / load;
  return PENCIL_THERMAL * log(current / (t.parameters.saturationCurrent * t.area));
}

/** Both halves of a pair off at rest. */
function deadZoneLine(facts: RestFacts, { distortion }: WaveformFigures): LedgerLine[] {
  const halves = facts.graph.transistors.filter((t) => facts.roles[t.name]?.name === 'half of a complementary pair');
  const peak = emfPeak(facts.sheet);
  if (distortion === null || peak === null || !isSine(facts) || peak <= DEAD) return [];
  if (halves.length < 2 || halves.some((t) => facts.transistors[t.name]?.region !== 'off')) return [];
  const level = quotient(symbol('V_BE', DEAD, 'V'), symbol('V_S', peak, 'V'));
  const rule = relation('THD of a dead zone', level, deadZone(DEAD / peak));
  const load = loadOf(facts);
  const edges = load ? halves.map((t) => edge(t, evaluate(load))) : [];
  const here = edges.reduce((total, one) => total + one, 0) / edges.length;
  const terms: Term[] =
    here > 0 && here < peak
      ? [
          {
            what: 'base-emitter-voltage',
            formula: difference(
              relation('THD of a dead zone', quotient(symbol('V_BE', here, 'V'), symbol('V_S', peak, 'V')), deadZone(here / peak)),
              rule,
            ),
            figures: [{ value: here, unit: 'V' }],
          },
        ]
      : [];
  return line('distortion of the dead zone', 'share', rule, distortion, terms);
}

/** V²/(2 R_L). */
function powerLine(facts: RestFacts, figures: WaveformFigures): LedgerLine[] {
  const load = loadOf(facts);
  const { outputPeak, outputPower } = figures;
  if (!load || outputPower === null || !isSine(facts)) return [];
  const peak = symbol('V_P', outputPeak, 'V');
  const rule = quotient(product(peak, peak), product(number(2), load));
  return line('power in the load', 'W', rule, outputPower, waveShape(figures, rule, load));
}

/** V_1²(1 + THD²)/(2 R_L) of what is no sine any more (Parseval). */
function waveShape({ fundamental, distortion }: WaveformFigures, rule: Formula, load: Formula): Term[] {
  if (fundamental === null || distortion === null) return [];
  const first = symbol('V_1', fundamental, 'V');
  const more = sum(number(1), square(symbol('THD', distortion, 'share')));
  const whole = quotient(product(first, first, more), product(number(2), load));
  return [
    {
      what: 'wave-shape',
      formula: difference(whole, rule),
      figures: [
        { value: fundamental, unit: 'V' },
        { value: distortion, unit: 'share' },
      ],
    },
  ];
}

/** A rail below ground by how far below: `|V_EE|`. */
function magnitudeOf(level: Formula): Formula {
  return level.kind === 'symbol' ? symbol(`|${level.symbol}|`, Math.abs(level.value), level.unit) : level;
}

/** The heat of either half at its worst instant: (V_CC − V)V/R_L, V up to half the rail. */
function pairLines(facts: RestFacts, { outputPeak, peakDissipation }: WaveformFigures): LedgerLine[] {
  const load = loadOf(facts);
  if (!load) return [];
  return outputFollowers(facts).flatMap(({ t, coupled }) => {
    const volts = railVolts(facts, t.collector);
    const computed = peakDissipation[t.name];
    if (coupled || volts === null || computed === undefined || facts.roles[t.name]?.name !== 'half of a complementary pair') return [];
    const supply = volts < 0 ? magnitudeOf(rail(facts, t.collector)) : rail(facts, t.collector);
    const peak = symbol('V_P', outputPeak, 'V');
    const full = quotient(product(supply, supply), product(number(4), load));
    const part = quotient(product(difference(supply, peak), peak), load);
    return line(`peak dissipation of ${t.name}`, 'W', outputPeak >= Math.abs(volts) / 2 ? full : part, computed);
  });
}
