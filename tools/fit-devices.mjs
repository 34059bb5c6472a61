/**
 * Fits all built-in devices from their figures and writes the parameters to src/devices/types/fitted.ts. To be run when
 * figures or the fit have changed: npx tsx tools/fit-devices.mjs. A test fails while the file is behind.
 */
import { writeFileSync } from 'node:fs';
import { fittedDiode, fittedTransistor } from '../src/devices/types/fit-entry.ts';
import { ENTRIES } from '../src/devices/types/index.ts';

const line = (key, parameters) => {
  const values = Object.entries(parameters).map(([name, value]) => `${name}: ${value}`);
  return `  '${key}': { ${values.join(', ')} },\n`;
};
const transistors = ENTRIES.filter((entry) => entry.kind !== 'diode').map((entry) =>
  line(`${entry.kind} ${entry.name}`, fittedTransistor(entry)),
);
const diodes = ENTRIES.filter((entry) => entry.kind === 'diode').map((entry) => line(entry.name, fittedDiode(entry)));
const text = `/** Parameters of the built-in devices, fitted from their figures by tools/fit-devices.mjs: not to be edited by hand. */
import type { BipolarParameters, DiodeParameters } from '../parameters.ts';

/** By kind and name. */
export const FITTED_TRANSISTORS: Readonly<Record<string, BipolarParameters>> = {
${transistors.join('')}};

/** By name. */
export const FITTED_DIODES: Readonly<Record<string, DiodeParameters>> = {
${diodes.join('')}};
`;
writeFileSync(new URL('../src/devices/types/fitted.ts', import.meta.url), text);
