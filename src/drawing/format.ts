/** Values as the drawing writes them: IEC 60062 codes above a kilohm, prefixes elsewhere, U+2212 as minus. */

const PREFIXES: [number, string][] = [
  [1e9, 'G'],
  [1e6, 'M'],
  [1e3, 'k'],
  [1, ''],
  [1e-3, 'm'],
  [1e-6, 'µ'],
  [1e-9, 'n'],
  [1e-12, 'p'],
];

/** A number of three significant figures without trailing zeros, `4.7`. */
function brief(value: number): string {
  return String(Number(value.toPrecision(3))).replace('-', '−');
}

function prefixed(value: number, unit: string): string {
  const size = Math.abs(value);
  if (size === 0) return `0 ${unit}`;
  // Half a unit of the third figure decides, so that 999.9 becomes 1 k and not 1000.
  const [scale, prefix] = PREFIXES.find(([scale]) => size >= scale * 0.9995) ?? [1e-12, 'p'];
  return `${brief(value / scale)} ${prefix}${unit}`;
}

/** Resistance: `680 Ω`, `4k7`, `1M5` (IEC 60062), and `1.25k` where three figures are needed. */
export function resistanceText(ohms: number): string {
  if (ohms < 999.5) return ohms < 0.0095 ? prefixed(ohms, 'Ω') : `${brief(ohms)} Ω`;
  const [scale, letter] = ohms < 999.5e3 ? [1e3, 'k'] : ohms < 999.5e6 ? [1e6, 'M'] : [1e9, 'G'];
  const [whole, fraction] = brief(ohms / scale).split('.');
  return fraction === undefined ? `${whole}${letter}` : `${whole}${letter}${fraction}`;
}

export const capacitanceText = (farads: number): string => prefixed(farads, 'F');
export const inductanceText = (henries: number): string => prefixed(henries, 'H');
export const voltageText = (volts: number): string =>
  Math.abs(volts) < 999.5 && Math.abs(volts) > 0.0995 ? `${brief(volts)} V` : prefixed(volts, 'V');
export const amperageText = (amperes: number): string => prefixed(amperes, 'A');

/** Volts beside a node: `12 V`, `5.38 V`, `−35 mV`, `0 V` below half a millivolt. */
export function nodeVoltsText(volts: number): string {
  const size = Math.abs(volts);
  const sign = volts < 0 ? '−' : '';
  if (size < 0.5e-3) return '0 V';
  if (size < 0.0995) return `${sign}${Math.round(size * 1e3)} mV`;
  if (size < 9.995) return `${sign}${size.toFixed(2)} V`;
  if (size < 99.95) return `${sign}${size.toFixed(1)} V`;
  return `${sign}${Math.round(size)} V`;
}

/** A supply is written as its author means it: no zeros after the point. */
export function supplyVoltsText(volts: number): string {
  return `${brief(volts)} V`;
}

/** Current beside its arrow, magnitude only: the arrow carries the sign. Two figures, `0 mA` when none flows. */
export function currentText(amperes: number): string {
  const size = Math.abs(amperes);
  if (size < 0.5e-9) return '0 mA';
  if (size < 0.995e-6) return `${Math.round(size * 1e9)} nA`;
  if (size < 9.95e-6) return `${(size * 1e6).toFixed(1)} µA`;
  if (size < 99.5e-6) return `${Math.round(size * 1e6)} µA`;
  if (size < 0.995e-3) return `${(size * 1e3).toFixed(2)} mA`;
  if (size < 9.95e-3) return `${(size * 1e3).toFixed(1)} mA`;
  if (size < 0.995) return `${Math.round(size * 1e3)} mA`;
  return `${size.toFixed(1)} A`;
}
