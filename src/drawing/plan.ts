/**
 * A laid-out drawing as data: where everything stands, and which texts the page may fill in without laying out
 * again. Lengths in px at scale 1, x to the right, y downwards.
 */
import type { Face } from './text.ts';

export interface Point {
  x: number;
  y: number;
}
export interface Box {
  left: number;
  top: number;
  right: number;
  bottom: number;
}

export type SymbolKind =
  | 'resistor'
  | 'trimmer'
  | 'capacitor'
  | 'inductor'
  | 'npn'
  | 'pnp'
  | 'diode'
  | 'led'
  | 'voltage'
  | 'current'
  | 'speaker'
  | 'generator'
  /** An open end: not drawn but for its circle. */
  | 'end';

/** Whom a symbol stands for. */
export type Owner = 'part' | 'load' | 'drive';

/** One terminal of a symbol. */
export interface Pin {
  node: string;
  at: Point;
}

export interface DrawnSymbol {
  /** Designator of a part; `load` or `drive` with a suffix otherwise. */
  id: string;
  owner: Owner;
  kind: SymbolKind;
  /** Upright parts are centred on their leg; of a transistor this is the point of the leg level with its base. */
  at: Point;
  upright: boolean;
  /** First terminal (`from`, anode, collector, plus) at the top of an upright part, at the left of a flat one. */
  firstLeads: boolean;
  /** Which way the base or the wiper points. */
  facing: 'left' | 'right';
  /** In the order first, second, and base or wiper. */
  pins: Pin[];
  body: Box;
  polarized: boolean;
  bench?: 'lifted' | 'shorted';
  /** What a reader of the picture hears. */
  description: string;
}

/** A straight piece of conductor, level or upright. */
export interface Wire {
  node: string;
  from: Point;
  to: Point;
}
export interface Dot {
  node: string;
  at: Point;
}
/** An open circle: a supply's terminal, or an end of a wire that goes on elsewhere. */
export interface Terminal {
  node: string;
  at: Point;
  kind: 'supply' | 'open';
}
export interface Rail {
  node: string;
  from: number;
  to: number;
  y: number;
}
/** An earth symbol: its upper stroke is centred on `at`. */
export interface Earth {
  at: Point;
}

export type SpanRole = 'designator' | 'value' | 'node' | 'volts' | 'current' | 'small';
/** A run of text of one style; `slot` names the live value that replaces `text`. */
export interface Span {
  role: SpanRole;
  text: string;
  slot?: Slot;
}
export type Slot =
  | { kind: 'volts'; node: string }
  | { kind: 'current'; arrow: string }
  | { kind: 'device'; part: string }
  | { kind: 'drive' };

export type LabelKind = 'part' | 'device' | 'node' | 'supply' | 'current' | 'generator' | 'load';
export interface Label {
  id: string;
  kind: LabelKind;
  /** The part, node or arrow that it names. */
  of: string;
  lines: Span[][];
  /** Baseline of the first line; further lines follow 16 below. */
  at: Point;
  anchor: 'start' | 'middle' | 'end';
  /** Room reserved: no live value that fits its reserve leaves it. */
  box: Box;
  /** Which place of its list it took. */
  place: string;
  /** Shown on pointing only. */
  onPointing: boolean;
  /** Has a halo because no free place was left. */
  halo: boolean;
}

/** Where the current of a branch is shown: an arrow 30 long on the conductor. */
export interface ArrowSlot {
  id: string;
  /** Part whose current it is, and for transistors which terminal's. */
  part: string;
  terminal: 'first' | 'second';
  /** Middle of the arrow. */
  at: Point;
  /** Direction in which the current of the part (positive from its first terminal into the part) flows here. */
  direction: 'down' | 'up' | 'right' | 'left';
}

/** Dotted frame round what the load choice swaps. */
export interface Frame {
  name: string;
  box: Box;
}

/** What the next layout of the changed sheet starts from. */
export interface Memory {
  order: string[];
  legs: string[][];
  places: Record<string, string>;
  tightness: number;
}

export interface Plan {
  width: number;
  height: number;
  symbols: DrawnSymbol[];
  wires: Wire[];
  dots: Dot[];
  terminals: Terminal[];
  rails: Rail[];
  earths: Earth[];
  labels: Label[];
  arrows: ArrowSlot[];
  frames: Frame[];
  /** Everything drawn lies in it. */
  box: Box;
  /** Pairs that a block keeps symmetrical: names of symbols, and the axis that they share. */
  symmetries: { pair: [string, string]; about: string; axis: 'row' | 'column' }[];
  /** Symbols whose signal runs from right to left, and feedback that runs from left to right. */
  reversals: { signal: string[]; feedback: string[] };
  /** Bodies that the rules put on one line. */
  ranks: string[][];
  /** Designators whose higher end lies below. */
  upended: string[];
  /** What could not be drawn by the rules, in words; empty for a sound drawing. */
  faults: string[];
  memory: Memory;
}

export const FACE: Record<SpanRole, { face: Face; size: number }> = {
  designator: { face: 'bold', size: 14 },
  value: { face: 'sans', size: 14 },
  node: { face: 'serif', size: 15 },
  volts: { face: 'bold', size: 14 },
  current: { face: 'bold', size: 14 },
  small: { face: 'sans', size: 13 },
};
export const LINE = 16;
