/** All built-in devices as figures. */
import { CLASS_DIODES, CLASS_TRANSISTORS } from './classes.ts';
import type { BipolarEntry, DiodeEntry } from './entry.ts';
import { REGISTERED_1N } from './registered-1n.ts';
import { REGISTERED_2N } from './registered-2n.ts';
import { REGISTERED_BC } from './registered-bc.ts';
import { REGISTERED_BD } from './registered-bd.ts';

export const ENTRIES: readonly (BipolarEntry | DiodeEntry)[] = [
  ...CLASS_TRANSISTORS,
  ...CLASS_DIODES,
  ...REGISTERED_2N,
  ...REGISTERED_BC,
  ...REGISTERED_BD,
  ...REGISTERED_1N,
];
