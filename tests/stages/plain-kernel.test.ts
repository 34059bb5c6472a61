/** The plain kernel: Jacobians against differences of its own residual, on generated stages, and independence of order. */
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { flatten } from '../../src/circuit/network.ts';
import { PlainKernel } from '../../src/circuit/plain-kernel.ts';
import { positionIn } from '../../src/numerics/sparse.ts';
import { readSheet } from '../../src/sheet/read.ts';
import type { Sheet } from '../../src/sheet/types.ts';
import { generateStage } from './generator.ts';
import { randomFrom } from './random.ts';

/** Points at which junctions are reverse, near zero and forward up to 0.7 V. */
function pointOf(kernel: PlainKernel, index: number): Float64Array {
  const random = randomFrom(77, index);
  return Float64Array.from({ length: kernel.n }, (_, i) => (i < kernel.network.nodes.length ? 0.35 : 1e-3) * (2 * random.unit() - 1));
}
/** The examples, whose built-in devices have charges. */
function examples(): (readonly [number, Sheet])[] {
  const folder = new URL('../../examples/', import.meta.url);
  const names = readdirSync(folder).filter((name) => name.endsWith('.sheet.yaml'));
  return names.map((name, k) => {
    const { sheet } = readSheet(readFileSync(new URL(name, folder), 'utf8'));
    if (!sheet) throw new Error(`${name} should be read`);
    return [100_000 + k, sheet] as const;
  });
}
const STAGES = Array.from({ length: 40 }, (_, k) => 1 + 211 * k);

describe('the Jacobians of generated stages', () => {
  it('G and C are the derivatives of residual and charge, entry by entry, and nothing lies outside the pattern', () => {
    const wrong: string[] = [];
    const checked = { G: 0, C: 0 };
    for (const [index, sheet] of [...STAGES.map((k) => [k, generateStage(k)] as const), ...examples()]) {
      const kernel = new PlainKernel(flatten(sheet), sheet.ambient);
      const { n } = kernel;
      const x = pointOf(kernel, index);
      kernel.evaluate(x, null, true);
      const g = Float64Array.from(kernel.g);
      const c = Float64Array.from(kernel.c);
      for (let j = 0; j < n; j++) {
        const h = j < kernel.network.nodes.length ? 1e-6 : 1e-4;
        const at = (d: number): { f: Float64Array; q: Float64Array } => {
          const moved = Float64Array.from(x);
          moved[j] += d;
          kernel.evaluate(moved, null, true);
          return { f: Float64Array.from(kernel.f), q: Float64Array.from(kernel.q) };
        };
        const [plus, minus, plus2, minus2] = [at(h), at(-h), at(2 * h), at(-2 * h)];
        for (let i = 0; i < n; i++) {
          const p = positionIn(kernel.pattern, i, j);
          for (const [what, values, key] of [
            ['G', g, 'f'],
            ['C', c, 'q'],
          ] as const) {
            const value = p < 0 ? 0 : values[p];
            // Five points: the error is h^4 times the fifth derivative, and the rounding of the residual itself.
            const slope = (8 * (plus[key][i] - minus[key][i]) - (plus2[key][i] - minus2[key][i])) / (12 * h);
            const noise = (4e-15 * (Math.abs(plus[key][i]) + Math.abs(values[Math.max(p, 0)]))) / h;
            if (Math.abs(slope - value) > 1e-6 * Math.abs(value) + noise + 1e-24)
              wrong.push(`${index} ${what}(${i}, ${j}): ${value}, by differences ${slope}`);
            if (value !== 0) checked[what]++;
          }
        }
      }
    }
    expect(wrong).toEqual([]);
    expect(checked.G).toBeGreaterThan(2500);
    expect(checked.C).toBeGreaterThan(300);
  });
});

describe('the order of parts', () => {
  it('changes neither residuals nor charges of a node beyond rounding', () => {
    for (const index of STAGES) {
      const sheet = generateStage(index);
      const forward = new PlainKernel(flatten(sheet), sheet.ambient);
      const backward = new PlainKernel(flatten({ ...sheet, parts: [...sheet.parts].reverse() }), sheet.ambient);
      const a = pointOf(forward, index);
      const place = forward.network.nodes.map((name) => backward.network.nodes.indexOf(name));
      const branchPlace = forward.network.branches.map((b, k) => {
        // A part may be several branches: the same one among its own.
        const nth = forward.network.branches.slice(0, k).filter((o) => o.part === b.part && o.kind === b.kind).length;
        const own = backward.network.branches.flatMap((o, at) => (o.part === b.part && o.kind === b.kind ? [at] : []));
        return backward.network.nodes.length + own[nth];
      });
      const map = [...place, ...branchPlace];
      const b = new Float64Array(backward.n);
      map.forEach((to, i) => {
        b[to] = a[i];
      });
      forward.evaluate(a, null, true);
      backward.evaluate(b, null, true);
      expect(new Set(map).size).toBe(backward.n);
      map.forEach((to, i) => {
        let size = 0;
        for (let p = forward.pattern.rowStart[i]; p < forward.pattern.rowStart[i + 1]; p++)
          size += Math.abs(forward.g[p] * a[forward.pattern.columns[p]]);
        expect(Math.abs(backward.f[to] - forward.f[i])).toBeLessThanOrEqual(1e-13 * (size + Math.abs(forward.f[i])) + 1e-25);
        expect(Math.abs(backward.q[to] - forward.q[i])).toBeLessThanOrEqual(1e-13 * Math.abs(forward.q[i]) + 1e-22);
      });
    }
  });
});

describe('sums over a network', () => {
  it('raising all nodes alike changes the current of nothing but what leads to ground', () => {
    for (const index of STAGES) {
      const sheet = generateStage(index);
      const kernel = new PlainKernel(flatten(sheet), sheet.ambient);
      const x = pointOf(kernel, index);
      const nodes = kernel.network.nodes.length;
      // Resistors to ground count by their own conductance; devices at ground are left out.
      kernel.evaluate(x, null, true);
      const toGround = new Float64Array(nodes);
      for (const r of kernel.network.resistors) {
        if (r.b < 0 && r.a >= 0) toGround[r.a] += 1 / r.resistance;
        if (r.a < 0 && r.b >= 0) toGround[r.b] += 1 / r.resistance;
      }
      const grounded = new Set([
        ...kernel.network.transistors.flatMap((t) =>
          [t.collector, t.base, t.emitter].includes(-1) ? [t.collector, t.base, t.emitter] : [],
        ),
        ...kernel.network.diodes.flatMap((d) => (d.anode < 0 || d.cathode < 0 ? [d.anode, d.cathode] : [])),
      ]);
      for (let i = 0; i < nodes; i++) {
        if (grounded.has(i)) continue;
        let sum = 0;
        let size = 0;
        for (let p = kernel.pattern.rowStart[i]; p < kernel.pattern.rowStart[i + 1]; p++) {
          if (kernel.pattern.columns[p] >= nodes) continue;
          sum += kernel.g[p];
          size += Math.abs(kernel.g[p]);
        }
        expect(Math.abs(sum - toGround[i])).toBeLessThanOrEqual(1e-12 * size);
      }
    }
  });
});
