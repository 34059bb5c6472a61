/** Newton's method on the static equations, against closed forms. */
import { describe, expect, it } from 'vitest';
import { flatten } from '../circuit/network.ts';
import { PlainKernel } from '../circuit/plain-kernel.ts';
import { thermalVoltage } from '../devices/constants.ts';
import { readSheet } from '../sheet/read.ts';
import type { Sheet } from '../sheet/types.ts';
import { Hull } from './hull.ts';
import { junctionsOf, StaticSolver } from './static.ts';

function solverOf(text: string): { solver: StaticSolver; at: (x: Float64Array, name: string) => number } {
  const { sheet, problems } = readSheet(`footroom: 1\ntitle: Test\n${text}`);
  expect(problems.filter((problem) => problem.severity === 'error')).toEqual([]);
  const { ambient } = sheet as Sheet;
  const network = flatten(sheet as Sheet);
  return { solver: new StaticSolver(new PlainKernel(network, ambient)), at: (x, name) => x[network.nodes.indexOf(name)] };
}
function solved(text: string, start = 0) {
  const { solver, at } = solverOf(text);
  const x = new Float64Array(solver.kernel.n).fill(start);
  const outcome = solver.solve(x, junctionsOf(solver.kernel, x));
  return { outcome, solver, x, v: (name: string) => at(x, name) };
}

describe('Newton’s method on the static equations', () => {
  it('gives a divider its ratio in very few steps', () => {
    const { outcome, v } = solved(
      'supplies: { vcc: 12 V }\nparts:\n  R1: { resistor: 3k, from: vcc, to: a }\n  R2: { resistor: 1k, from: a, to: gnd }\n',
    );
    expect(outcome.converged).toBe(true);
    expect(outcome.iterations).toBeLessThan(6);
    expect(v('a')).toBeCloseTo(3, 12);
  });
  // Shockley, Bell System Technical Journal 28, 1949: V = n V_T ln(1 + I/I_S).
  it.each([1e-9, 1e-3, 10])('gives a diode that carries %f A the voltage of Shockley’s law, from either side', (amperes) => {
    for (const start of [-5, 0, 0.9]) {
      const { outcome, v } = solved(
        `supplies: {}\ndevices: { d: { diode: { saturationCurrent: 2e-12, ideality: 1.3 } } }\nparts:\n  I1: { current: ${amperes}, from: gnd, to: a }\n  D1: { diode: d, anode: a, cathode: gnd }\n  R1: { resistor: 1e9, from: a, to: gnd }\n`,
        start,
      );
      expect(outcome.converged).toBe(true);
      const a = v('a');
      const current = 2e-12 * Math.expm1(a / (1.3 * thermalVoltage(298.15))) + a / 1e9;
      expect(current / amperes).toBeCloseTo(1, 8);
    }
  });
  it('takes a current that an ideal source forces through a junction in one go, however large', () => {
    const { outcome, solver, x } = solved(
      'supplies: { vcc: 1.5 V }\ndevices: { d: { diode: { saturationCurrent: 1e-12 } } }\nparts:\n  D1: { diode: d, anode: vcc, cathode: gnd }\n',
    );
    expect(outcome.converged).toBe(true);
    const amperes = 1e-12 * Math.expm1(1.5 / thermalVoltage(298.15));
    expect(-x[solver.kernel.network.nodes.length] / amperes).toBeCloseTo(1, 9);
    expect(amperes).toBeGreaterThan(1e10);
  });
  it('keeps a node that hangs on two closed junctions alone between the sources', () => {
    const { outcome, v } = solved(
      'supplies: { vcc: 5 V }\ndevices: { d: { diode: { saturationCurrent: 1e-17 } } }\nparts:\n  D1: { diode: d, anode: a, cathode: vcc }\n  D2: { diode: d, anode: gnd, cathode: a }\n',
      2.5,
    );
    expect(outcome.converged).toBe(true);
    expect(v('a')).toBeGreaterThan(-0.5);
    expect(v('a')).toBeLessThan(5.5);
  });
});

describe('the span of the sources', () => {
  const { solver, at } = solverOf(
    'supplies: { vcc: 5 V, vee: -3 V }\nparts:\n  R1: { resistor: 1k, from: vcc, to: a }\n  R2: { resistor: 1k, from: a, to: vee }\n',
  );
  it('refuses a node beyond it and puts it back on its edge', () => {
    const hull = new Hull(solver.kernel);
    hull.read();
    const x = new Float64Array(solver.kernel.n).fill(40);
    expect(hull.holds(x)).toBe(false);
    expect(hull.keep(x)).toBe(true);
    expect(at(x, 'a')).toBe(5.5);
    x.fill(1);
    expect(hull.keep(x)).toBe(false);
    expect(hull.holds(x)).toBe(true);
  });
});
