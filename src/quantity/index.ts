/** Quantities: reading them, printing them, and the preferred values they are chosen from. */
export { type FormatOptions, formatLike, formatQuantity, printQuantity } from './format.ts';
export { commaRemedy, type Form, type ParsedQuantity, type ParseOptions, parseQuantity, type QuantityFault } from './parse.ts';
export {
  isPreferred,
  nearestPreferred,
  nextDown,
  nextUp,
  preferredBetween,
  SERIES_NAMES,
  type SeriesName,
  seriesValues,
} from './series.ts';
export { UNITS, type Unit } from './units.ts';
