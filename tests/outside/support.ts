/**
 * What the outside checks share: the table of outside values (`checks.json`, each with its source), sheets written as
 * JSON (which is YAML), and comparison with a stated tolerance.
 */
import { readFileSync } from 'node:fs';
import { expect } from 'vitest';
import { ask } from '../../src/answers/ask.ts';
import type {
  Answer,
  AskOptions,
  ImpedanceAnswer,
  NoAnswer,
  Question,
  QuiescentAnswer,
  SwingAnswer,
  TransistorFigures,
  TwoTerminalFigures,
  WaveformAnswer,
} from '../../src/answers/types.ts';
import { sheetFromText } from './read.ts';

interface OutsideCheck {
  id: string;
  expected: { quantity: string; value: number; unit: string }[];
}

const TABLE: Map<string, Map<string, number>> = new Map(
  (JSON.parse(readFileSync(new URL('./checks.json', import.meta.url), 'utf8')) as { checks: OutsideCheck[] }).checks.map((check) => [
    check.id,
    new Map(check.expected.map((entry) => [entry.quantity, entry.value])),
  ]),
);

/** The outside value of one quantity of one check. Throws when the table has no such quantity, so no check can pass empty. */
export function outside(id: string, quantity: string): number {
  const value = TABLE.get(id)?.get(quantity);
  if (value === undefined) throw new Error(`checks.json has no quantity "${quantity}" under ${id}`);
  return value;
}

/** Boltzmann constant over elementary charge, V/K: exact since 2019 (SI Brochure, 9th ed., 2.2). */
export const BOLTZMANN_OVER_CHARGE = 1.380649e-23 / 1.602176634e-19;
/** Thermal voltage at 25 °C, V. */
export const THERMAL_VOLTAGE = BOLTZMANN_OVER_CHARGE * 298.15;

/** V_BE that drives `current` (A) through an ideal device of saturation current `saturation` (A) and ideality `n`, V. */
export function junctionVoltage(current: number, saturation: number, n = 1): number {
  return n * THERMAL_VOLTAGE * Math.log(current / saturation);
}

export function parallel(...resistances: number[]): number {
  return 1 / resistances.reduce((sum, r) => sum + 1 / r, 0);
}

/** Stands for an infinite beta: what it leaves out is 1e-12 of the current. */
export const INFINITE_BETA = 1e12;

/** An ideal textbook transistor: Ebers-Moll without resistances or Early voltage. */
export function ideal(saturationCurrent: number, forwardBeta: number, more: Record<string, number> = {}): Record<string, number> {
  return { saturationCurrent, forwardBeta, reverseBeta: 1000, ...more };
}

/**
 * The ideal switch-like device of the load-line arguments. An ideality of 0.01 makes the exponential a hundred times
 * steeper than a real one: at currents of milliamperes the whole V_BE is some 7 mV, and it moves by 0.6 mV a decade.
 */
export const STEEP = { ideality: 0.01, saturation: 1e-14 };
export function steep(forwardBeta = INFINITE_BETA): Record<string, number> {
  return ideal(STEEP.saturation, forwardBeta, { forwardIdeality: STEEP.ideality, reverseIdeality: STEEP.ideality });
}

/** The same, three times steeper than a real device: for corners that a solver must find in time, at ten times the volts. */
export const BRISK = { ideality: 0.3, saturation: 1e-14 };
export function brisk(forwardBeta = INFINITE_BETA): Record<string, number> {
  return ideal(BRISK.saturation, forwardBeta, { forwardIdeality: BRISK.ideality, reverseIdeality: BRISK.ideality });
}

export type SheetObject = Record<string, unknown> & { parts: Record<string, unknown>; supplies: Record<string, unknown> };

function isNoAnswer(answer: Answer | NoAnswer): answer is NoAnswer {
  return 'failure' in answer;
}

/** Asks a question of a sheet given as an object; may come back without an answer. */
export function tryAsk(question: Question, sheet: Partial<SheetObject>, options: AskOptions = {}): Answer | NoAnswer {
  return ask(question, sheetFromText(JSON.stringify({ footroom: 1, ...sheet })), options);
}

function mustAnswer(question: Question, sheet: Partial<SheetObject>, options: AskOptions): Answer {
  const answer = tryAsk(question, sheet, options);
  if (isNoAnswer(answer)) throw new Error(`no answer to ${question}: ${answer.failure.kind}`);
  return answer;
}

export function quiescent(sheet: Partial<SheetObject>, options: AskOptions = {}): QuiescentAnswer {
  return mustAnswer('quiescent', sheet, options) as QuiescentAnswer;
}
export function swing(sheet: Partial<SheetObject>, options: AskOptions = {}): SwingAnswer {
  return mustAnswer('swing', sheet, options) as SwingAnswer;
}
export function impedance(sheet: Partial<SheetObject>, options: AskOptions = {}): ImpedanceAnswer {
  return mustAnswer('impedance', sheet, options) as ImpedanceAnswer;
}
export function waveform(sheet: Partial<SheetObject>, options: AskOptions = {}): WaveformAnswer {
  return mustAnswer('waveform', sheet, options) as WaveformAnswer;
}

export function transistor(answer: QuiescentAnswer, part: string): TransistorFigures {
  return answer.parts[part] as TransistorFigures;
}
export function twoTerminal(answer: QuiescentAnswer, part: string): TwoTerminalFigures {
  return answer.parts[part] as TwoTerminalFigures;
}

/** Asserts that `actual` lies within `relative` of `wanted` (and `absolute` beside it), and says by how much it misses. */
export function close(actual: number | null | undefined, wanted: number, relative: number, absolute = 0, what = ''): void {
  expect(actual, `${what} has no value`).toBeTypeOf('number');
  const room = relative * Math.abs(wanted) + absolute;
  const error = Math.abs((actual as number) - wanted);
  expect(
    error <= room,
    `${what} is ${actual}, the outside value is ${wanted}: off by ${(error / Math.abs(wanted)).toExponential(2)}, allowed ${relative}`,
  ).toBe(true);
}

export interface Complex {
  re: number;
  im: number;
}
/** A phasor in degrees as a complex number. */
export function complex(phasor: { magnitude: number | null; phase: number | null }): Complex {
  if (phasor.magnitude === null || phasor.phase === null) throw new Error('the phasor is null');
  const angle = (phasor.phase * Math.PI) / 180;
  return { re: phasor.magnitude * Math.cos(angle), im: phasor.magnitude * Math.sin(angle) };
}

/** Solves a small dense real system by elimination with partial pivoting; rows are changed in place. */
export function solveLinear(matrix: number[][], right: number[]): number[] {
  const n = right.length;
  for (let column = 0; column < n; column++) {
    let pivot = column;
    for (let row = column + 1; row < n; row++) if (Math.abs(matrix[row]![column]!) > Math.abs(matrix[pivot]![column]!)) pivot = row;
    [matrix[column], matrix[pivot]] = [matrix[pivot]!, matrix[column]!];
    [right[column], right[pivot]] = [right[pivot]!, right[column]!];
    for (let row = column + 1; row < n; row++) {
      const factor = matrix[row]![column]! / matrix[column]![column]!;
      for (let k = column; k < n; k++) matrix[row]![k]! -= factor * matrix[column]![k]!;
      right[row]! -= factor * right[column]!;
    }
  }
  for (let row = n - 1; row >= 0; row--) {
    for (let k = row + 1; k < n; k++) right[row]! -= matrix[row]![k]! * right[k]!;
    right[row]! /= matrix[row]![row]!;
  }
  return right;
}

/**
 * Denominator 1 + a1 s + ... + an s^n of a rational transfer function, from its values H at as many frequencies as give
 * one equation a coefficient: H (1 + a1 s + ...) = b0 + b1 s + ... is linear in them (Levy, IRE Trans. Automatic Control
 * AC-4, 1959, from memory). `scale` is a frequency in rad/s near the poles; the coefficients returned belong to s/scale.
 */
export function denominator(samples: { omega: number; value: Complex }[], poles: number, zeros: number, scale: number): number[] {
  const unknowns = poles + zeros + 1;
  const rows: number[][] = [];
  const right: number[] = [];
  for (const { omega, value } of samples) {
    const x = omega / scale;
    const real: number[] = [];
    const imaginary: number[] = [];
    // (j x)^k = x^k times 1, j, -1, -j.
    const power = (k: number): Complex => {
      const size = x ** k;
      return [
        { re: size, im: 0 },
        { re: 0, im: size },
        { re: -size, im: 0 },
        { re: 0, im: -size },
      ][k % 4]!;
    };
    for (let k = 1; k <= poles; k++) {
      const p = power(k);
      real.push(value.re * p.re - value.im * p.im);
      imaginary.push(value.re * p.im + value.im * p.re);
    }
    for (let k = 0; k <= zeros; k++) {
      const p = power(k);
      real.push(-p.re);
      imaginary.push(-p.im);
    }
    rows.push(real, imaginary);
    right.push(-value.re, -value.im);
  }
  if (rows.length < unknowns) throw new Error('too few samples for the fit');
  // Surplus equations are not thrown away: least squares through the normal equations.
  const normal = Array.from({ length: unknowns }, (_, i) =>
    Array.from({ length: unknowns }, (_unused, j) => rows.reduce((sum, row) => sum + row[i]! * row[j]!, 0)),
  );
  const projected = Array.from({ length: unknowns }, (_, i) => rows.reduce((sum, row, r) => sum + row[i]! * right[r]!, 0));
  return [1, ...solveLinear(normal, projected).slice(0, poles)];
}
