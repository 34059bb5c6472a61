/** Where the terminals of parts are connected, by the names that the sheet uses. */
import type { NodeName, Part } from './types.ts';

/** The terminals of a part and their nodes, in the contract's order. */
export function terminalsOf(part: Part): [terminal: string, node: NodeName][] {
  switch (part.kind) {
    case 'npn':
    case 'pnp':
      return [
        ['collector', part.collector],
        ['base', part.base],
        ['emitter', part.emitter],
      ];
    case 'diode':
      return [
        ['anode', part.anode],
        ['cathode', part.cathode],
      ];
    case 'trimmer':
      return [
        ['from', part.from],
        ['to', part.to],
        ['wiper', part.wiper],
      ];
    default:
      return [
        ['from', part.from],
        ['to', part.to],
      ];
  }
}
