/** A small generator for the tests: sfc32 (Chris Doty-Humphrey's "small fast counting", 2010; from memory), 32-bit integer arithmetic only, so the same on every host. */
export interface Random {
  /** Uniform in [0, 1), 32 bits. */
  unit(): number;
  between(low: number, high: number): number;
  /** Uniform in the logarithm. */
  logarithmic(low: number, high: number): number;
  /** Integer from `low` to `high`, both included. */
  integer(low: number, high: number): number;
  chance(probability: number): boolean;
  pick<T>(list: readonly T[]): T;
}

export function randomFrom(seed: number, index: number): Random {
  let a = seed >>> 0;
  let b = index >>> 0;
  let c = 0x6a09e667;
  let counter = 1;
  const next = (): number => {
    const t = (((a + b) >>> 0) + counter) >>> 0;
    counter = (counter + 1) >>> 0;
    a = (b ^ (b >>> 9)) >>> 0;
    b = (c + (c << 3)) >>> 0;
    c = (((c << 21) | (c >>> 11)) + t) >>> 0;
    return t;
  };
  for (let warm = 0; warm < 20; warm++) next();
  const unit = () => next() / 4294967296;
  return {
    unit,
    between: (low, high) => low + (high - low) * unit(),
    logarithmic: (low, high) => low * (high / low) ** unit(),
    integer: (low, high) => low + Math.floor((high - low + 1) * unit()),
    chance: (probability) => unit() < probability,
    pick: (list) => list[Math.floor(list.length * unit())]!,
  };
}
