/** A transistor's role as data. */
import type { Polarity } from '../devices/parameters.ts';

export type RoleName =
  | 'follower'
  | 'common emitter'
  | 'common base'
  | 'current source'
  | 'current sink'
  | 'diode-connected'
  | 'V_BE multiplier'
  | 'half of a complementary pair'
  | 'half of a differential pair'
  | 'mirror'
  | 'Darlington member'
  | 'complementary Darlington member'
  | 'switch'
  | 'not clear';

export interface Role {
  name: RoleName;
  polarity: Polarity;
  /** The other half of a pair, mirror or Darlington; with several copies of a mirror, their input half. */
  partner?: string;
  /** Which of the two: the half that the signal meets first, or a mirror's input. */
  position?: 'first' | 'second' | 'input' | 'output';
  /** What a Darlington is as a whole. */
  compound?: 'follower' | 'common emitter';
  /** Resistors in the emitter that the signal does not go round. */
  degeneration?: string[];
  /** Parts that tie the output terminal (emitter of a follower, else collector) to signal ground, or feed it a constant current. */
  load?: string[];
  /** Parts by which the signal goes on from the output terminal. */
  drives?: string[];
  /** The connected load's name, where it hangs on the output terminal itself or behind a capacitor that is short there. */
  feeds?: string;
  /** What the joined emitters of a differential pair stand on. */
  tail?: string[];
  /** Base resistors of a multiplier: collector to base, base to emitter. */
  divider?: { upper: string[]; lower: string[] };
}
