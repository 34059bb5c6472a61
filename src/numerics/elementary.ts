/**
 * Elementary functions that give the same bits in every engine. ECMAScript leaves the accuracy of `Math.exp` and its
 * kin to the implementation, so a result that passes through them differs from host to host. These use only the
 * additions, multiplications, divisions and square roots that IEEE 754 rounds correctly.
 */

export { atan2, cos, hypot, sin } from './elementary-angles.ts';
export { exp, expm1 } from './elementary-exponential.ts';
export { log, log1p } from './elementary-logarithm.ts';
export { log10, pow } from './elementary-power.ts';

/** x x: exact in its one rounding, which `x ** 2` need not be (ECMA-262 leaves `**` to the implementation). */
export function square(x: number): number {
  return x * x;
}
