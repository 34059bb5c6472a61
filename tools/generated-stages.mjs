// The generated stages that the drawings are measured on, by number from 0.
import { generateStage } from '../tests/stages/generator.ts';

export const generatedStages = (count, from = 0) =>
  Array.from({ length: count }, (_, i) => ({ name: `stage-${from + i}`, sheet: generateStage(from + i) }));
