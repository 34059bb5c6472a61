/** Static equations of one implicit Euler step: (q(x) - q_0)/h + f(x) = 0, dressed as a kernel so that the ramp can solve them. */
import type { Kernel } from '../circuit/kernel.ts';

/** A kernel whose residual and Jacobian carry the charges' share of a step of length h (s) from charges `start`. */
export function companionOf(kernel: Kernel, start: Float64Array, h: number): Kernel {
  return new Proxy(kernel, {
    get(inner, key) {
      if (key === 'stiff') return true;
      if (key === 'evaluate') {
        return (x: Float64Array, junctions: Float64Array | null): boolean => {
          const limited = inner.evaluate(x, junctions, true);
          for (let i = 0; i < inner.n; i++) inner.f[i] += (inner.q[i] - start[i]) / h;
          for (let p = 0; p < inner.g.length; p++) inner.g[p] += inner.c[p] / h;
          return limited;
        };
      }
      const value: unknown = Reflect.get(inner, key, inner);
      return typeof value === 'function' ? value.bind(inner) : value;
    },
  });
}
