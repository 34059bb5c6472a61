/** What the speed comparison needs of the engine and of the exchange with outside programs, bundled together by `speed.mjs`. */
import { settle } from '../../src/answers/settle.ts';
import type { Sheet } from '../../src/sheet/types.ts';
import { openStage, resolve, type Stage } from '../../src/solve/stage.ts';

export { ask } from '../../src/answers/ask.ts';
export { readSheet } from '../../src/sheet/read.ts';
export { asLines, flatten } from '../../tests/outside/exchange.ts';

/** From a sheet to its settled period and no further: no samples, causes or spectrum. Throws where there is none. */
export function settleOnly(sheet: Sheet): void {
  const { drive } = sheet;
  if (drive?.frequency === undefined) throw new Error('the sheet has no moving drive');
  settle(openStage(sheet, { isothermal: true }), { ...drive, frequency: drive.frequency });
}

/**
 * Rest states of `count` stages, every resistance and forward beta drawn between 1/1.5 and 1.5 times its own value, evenly
 * in logarithm, each started from the nominal solution. Returns how many were not found.
 */
export function manyRests(sheet: Sheet, count: number): number {
  const stage: Stage = openStage(sheet, { isothermal: true });
  const { kernel, network, solver, temperatures } = stage;
  const resistances = network.resistors.map(({ resistance }) => resistance);
  const betas = network.transistors.map(({ parameters }) => parameters.forwardBeta);
  for (const transistor of network.transistors) transistor.parameters = { ...transistor.parameters };
  // A plain linear congruence of 32 bits: the draws need no quality, only to be the same each time.
  let state = 1;
  const factor = (): number => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return 1.5 ** (2 * (state / 2 ** 32) - 1);
  };
  const x = new Float64Array(stage.x.length);
  let failures = 0;
  for (let k = 0; k < count; k++) {
    resistances.forEach((resistance, r) => {
      network.resistors[r].resistance = resistance * factor();
    });
    betas.forEach((beta, q) => {
      network.transistors[q].parameters.forwardBeta = beta * factor();
    });
    kernel.loadValues();
    kernel.setTemperatures(temperatures);
    x.set(stage.x);
    if (!resolve(solver, x)) failures++;
  }
  return failures;
}
