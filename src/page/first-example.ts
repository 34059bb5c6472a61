/** The sheet that the page opens with: the example that flattens. The others are loaded when they are asked for. */
import text from '../../examples/headphone-follower.sheet.yaml?raw';

export const FIRST_EXAMPLE: string = text;
