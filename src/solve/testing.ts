/** What this folder's tests share: a network from the lines of a sheet. */
import { flatten } from '../circuit/network.ts';
import { PlainKernel } from '../circuit/plain-kernel.ts';
import { readSheet } from '../sheet/read.ts';
import { openStage, type Stage } from './stage.ts';

function sheetOf(text: string) {
  const { sheet, problems } = readSheet(`footroom: 1\ntitle: Test\n${text}`);
  if (!sheet) throw new Error(problems.map(({ sentence }) => sentence).join('\n'));
  return sheet;
}

/** Kernel of a sheet at its ambient temperature, and where each node is among the unknowns. */
export function kernelOf(text: string): { kernel: PlainKernel; node: (name: string) => number } {
  const sheet = sheetOf(text);
  const network = flatten(sheet);
  return {
    kernel: new PlainKernel(network, sheet.ambient),
    node: (name) => {
      const i = network.nodes.indexOf(name);
      if (i < 0) throw new Error(`no node ${name}`);
      return i;
    },
  };
}

/** The stage at rest, without its heat. */
export function stageOf(text: string): Stage {
  return openStage(sheetOf(text), { isothermal: true });
}
