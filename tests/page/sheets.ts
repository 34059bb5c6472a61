/** Sheets of the listening post for the page's tests, and the link that opens one. */
import { deflateRawSync } from 'node:zlib';

/** The follower that lets go on the way down; a sheet of the contract's own. */
export const FOLLOWER = `footroom: 1
title: Listening post, headphone follower
ambient: 25 °C
supplies: { vcc: 12 V }
devices:
  q-follower: { npn: { saturationCurrent: 2e-14, forwardBeta: 180, reverseBeta: 3, earlyVoltage: 80 } }
parts:
  R1: { resistor: 39k, from: vcc, to: base, tolerance: 5 % } # upper half of the divider
  R2: { resistor: 56k, from: base, to: gnd }
  C1: { capacitor: 1u, from: in, to: base }
  Q1: { npn: q-follower, collector: vcc, base: base, emitter: out }
  R3: { resistor: 680, from: out, to: gnd, power: 0.25 W }
  C2: { capacitor: 220u, from: out, to: jack, polarized: true, rating: 16 V }
  R4: { resistor: 4k7, from: jack, to: gnd }
drive: { node: in, sourceResistance: 600, waveform: sine, peakToPeak: 1.8 V, offset: 0 V, frequency: 440 Hz }
output: jack
loads:
  none: open
  phones: { resistor: 32 }
  line: { resistor: 10k, capacitor: 1n }
load: phones
targets: { outputPeakToPeak: 1 V, distortion: 1 % }
`;

/** The fragment of a link that carries a sheet: deflated, base64 of RFC 4648 for URLs. */
export function fragment(text: string): string {
  return `#sheet=${deflateRawSync(text).toString('base64url')}`;
}
