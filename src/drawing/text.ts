/**
 * How wide a text will be, without asking a browser: the advance widths of the two typefaces, measured once
 * from their files (STIX Two Text italic; Source Sans 3 regular and semibold with tabular figures), in
 * thousandths of the type size. Layout asks a `TextMetrics`, so that a host with other faces can bring its own.
 */

/** The three styles of type that a drawing uses. */
export type Face = 'serif' | 'sans' | 'bold';

/** Width of a text in px. */
export interface TextMetrics {
  width(text: string, face: Face, size: number): number;
}

// Code points 32 to 126 in order.
const SERIF = [
  225, 273, 334, 573, 495, 685, 720, 187, 340, 339, 391, 720, 242, 315, 242, 386, 495, 495, 495, 495, 495, 495, 495, 495, 495, 495, 242,
  242, 701, 720, 701, 400, 916, 681, 593, 647, 702, 614, 583, 697, 757, 343, 398, 655, 569, 869, 714, 707, 569, 707, 620, 534, 610, 731,
  640, 913, 637, 607, 606, 347, 415, 347, 480, 512, 222, 534, 495, 404, 541, 412, 280, 447, 549, 279, 272, 499, 273, 825, 564, 485, 521,
  518, 383, 367, 285, 557, 429, 694, 453, 446, 425, 310, 267, 310, 554,
];
const SANS = [
  200, 289, 426, 497, 497, 824, 609, 249, 303, 303, 418, 497, 249, 311, 249, 350, 497, 497, 497, 497, 497, 497, 497, 497, 497, 497, 249,
  249, 497, 497, 497, 425, 847, 538, 588, 545, 615, 527, 494, 617, 652, 263, 443, 579, 486, 727, 647, 664, 566, 664, 569, 521, 536, 645,
  524, 786, 513, 476, 525, 303, 350, 303, 497, 500, 542, 504, 553, 437, 555, 496, 289, 504, 544, 246, 247, 495, 255, 829, 547, 542, 555,
  555, 347, 419, 320, 544, 467, 719, 446, 467, 425, 303, 241, 303, 497,
];
const BOLD = [
  200, 315, 482, 513, 513, 841, 639, 275, 324, 324, 438, 513, 275, 322, 275, 344, 513, 513, 513, 513, 513, 513, 513, 513, 513, 513, 275,
  275, 513, 513, 513, 444, 875, 554, 597, 546, 625, 538, 510, 628, 663, 282, 458, 597, 502, 745, 657, 674, 582, 674, 592, 531, 546, 655,
  545, 800, 541, 501, 527, 324, 344, 324, 513, 500, 549, 516, 563, 440, 564, 507, 309, 520, 558, 262, 263, 522, 271, 843, 560, 549, 564,
  564, 373, 431, 343, 556, 495, 748, 481, 495, 443, 324, 255, 324, 513,
];
const TABLES: Record<Face, number[]> = { serif: SERIF, sans: SANS, bold: BOLD };

const BEYOND: Record<Face, Record<string, number>> = {
  serif: { '\u00a0': 225, '−': 720, µ: 556, Ω: 792, β: 503, '°': 398 },
  sans: { '\u00a0': 200, '−': 497, µ: 562, Ω: 678, β: 565, '°': 331 },
  bold: { '\u00a0': 200, '−': 513, µ: 578, Ω: 695, β: 583, '°': 348 },
};

/** Anything else, foreign letters in names of loads: wide enough for a capital. */
const UNKNOWN = 720;

/** The metrics of the typefaces that the page and the lesson carry. */
export const typefaceMetrics: TextMetrics = {
  width(text, face, size) {
    let sum = 0;
    for (const character of text) {
      const code = character.codePointAt(0) ?? 0;
      sum += TABLES[face][code - 32] ?? BEYOND[face][character] ?? UNKNOWN;
    }
    return (sum * size) / 1000;
  },
};
