import { describe, expect, it } from 'vitest';
import type { Role } from '../explain/role.ts';
import { type RoleFigures, roleSentence } from './roles.ts';

const figures: RoleFigures = {
  region: 'active',
  collectorCurrent: 7.9e-3,
  emitterResistance: 3.3,
  baseEmitterVoltage: 0.69,
  collectorEmitterVoltage: 6.35,
};
const said = (role: Omit<Role, 'polarity'>, changed: Partial<RoleFigures> = {}) =>
  roleSentence({ polarity: 'npn', ...role }, { ...figures, ...changed }).replaceAll('\u00a0', ' ');

describe('a role in words', () => {
  it('says what a follower drives and where it stands', () => {
    expect(said({ name: 'follower', load: ['R3'], drives: ['C2'], feeds: 'phones' })).toBe(
      'follower: its emitter, on R3, drives C2 and the phones; stands at 7.9 mA, r_e 3.3 Ω',
    );
  });
  it('says what holds the gain of a common-emitter stage, or that nothing does', () => {
    expect(said({ name: 'common emitter', load: ['RC'], drives: ['Q2'], degeneration: ['RE'] })).toBe(
      'common emitter: works into RC and drives Q2; RE in its emitter holds the gain; stands at 7.9 mA, r_e 3.3 Ω',
    );
    expect(said({ name: 'common emitter', load: ['RC'] })).toContain('nothing in its emitter holds the gain');
  });
  it('gives a multiplier the voltage that it holds, and a PNP its magnitudes', () => {
    expect(said({ name: 'V_BE multiplier', divider: { upper: ['R2'], lower: ['R3'] } }, { collectorEmitterVoltage: 1.48 })).toContain(
      'R2 and R3 set the 1.48 V across it',
    );
    expect(said({ name: 'diode-connected' }, { baseEmitterVoltage: -0.65 })).toContain('0.65 V to its emitter');
  });
  it('names the partner and what the halves of a pair share', () => {
    expect(said({ name: 'half of a complementary pair', partner: 'Q2', degeneration: ['RE1'], feeds: 'speaker' })).toBe(
      'half of a complementary pair: with Q2 through RE1, drives the speaker; stands at 7.9 mA, r_e 3.3 Ω',
    );
    expect(said({ name: 'half of a differential pair', partner: 'Q2', tail: ['RT'], load: ['RC1'] })).toContain(
      'with Q2 on RT, works into RC1',
    );
    expect(said({ name: 'mirror', position: 'output', partner: 'Q1' })).toContain('copies the current of Q1');
    expect(said({ name: 'Darlington member', position: 'second', partner: 'Q1', compound: 'follower', drives: ['C2'] })).toContain(
      'the second, behind Q1, together a follower, drives C2',
    );
  });
  it('says that a transistor is off rather than give it an emitter resistance', () => {
    expect(said({ name: 'switch', load: ['RC'] }, { region: 'off', collectorCurrent: 1e-12, emitterResistance: null })).toBe(
      'switch: works into RC; the drive alone turns it on; off at rest',
    );
  });
});
