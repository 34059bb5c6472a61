/** Reading `spread`: ranges of quantities by path, each in the unit that its path has. */

import { range } from './list-rules.ts';
import type { Named } from './map-rules.ts';
import { suggestion } from './nearest.ts';
import { quantityAt, quantityPaths } from './paths.ts';
import type { Log, Spot } from './rule.ts';
import { quantity } from './scalar-rules.ts';
import type { Sheet } from './types.ts';

/** Short names that the contract uses beside whole paths. */
const SHORT: Readonly<Record<string, string>> = { frequency: 'drive.frequency' };

/** Ranges in SI by the key that the author wrote; unknown paths are reported with the nearest one. */
export function readSpread(raw: readonly Named<Spot>[], sheet: Sheet, log: Log): Sheet['spread'] {
  const spread: Sheet['spread'] = {};
  for (const { name, value: spot, offset } of raw) {
    const unit = name === 'frequency' ? 'Hz' : quantityAt(sheet, name)?.unit;
    if (unit === undefined) {
      const known = [...Object.keys(SHORT), ...quantityPaths(sheet)];
      log.report(offset, spot.path, 'unknown-path', `spread: the sheet has no quantity "${name}"; ${suggestion(name, known)}.`);
      continue;
    }
    const read = range(quantity(unit)).read(spot, log);
    if (read !== undefined) spread[name] = read;
  }
  return spread;
}
