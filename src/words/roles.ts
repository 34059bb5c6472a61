/** What a transistor does in its stage, in a short sentence with its own figures. */
import type { TransistorFigures } from '../answers/types.ts';
import type { Role } from '../explain/role.ts';
import { listed } from './grammar.ts';
import { say, saySize } from './numbers.ts';

export type RoleFigures = Pick<
  TransistorFigures,
  'region' | 'collectorCurrent' | 'emitterResistance' | 'baseEmitterVoltage' | 'collectorEmitterVoltage'
>;

/** "stands at 7.9 mA, r_e 3.3 Ω", or what keeps it from standing at anything. */
function standing(figures: RoleFigures): string {
  switch (figures.region) {
    case 'off':
      return 'off at rest';
    case 'breakdown':
      return 'its emitter junction broken down at rest';
    case 'reversed':
      return `conducts backwards at rest, ${saySize(figures.collectorCurrent, 'A')}`;
    default: {
      const resistance = figures.emitterResistance === null ? '' : `, r_e ${say(figures.emitterResistance, 'Ω')}`;
      return `stands at ${say(figures.collectorCurrent, 'A')}${resistance}${figures.region === 'saturated' ? ', saturated' : ''}`;
    }
  }
}

/** "drives C2 and the phones"; null where nothing follows. */
function onward(role: Role): string | null {
  const what = [...(role.drives ?? []), ...(role.feeds === undefined ? [] : [`the ${role.feeds}`])];
  return what.length === 0 ? null : `drives ${listed(what)}`;
}
const loaded = (role: Role): string => (role.load === undefined ? '' : listed(role.load));

function collectorWork(role: Role): string {
  const into = role.load === undefined ? null : `works into ${loaded(role)}`;
  return [into, onward(role)].filter((clause) => clause !== null).join(' and ');
}
function emitterWork(role: Role): string {
  const next = onward(role);
  if (role.load === undefined) return next === null ? '' : `its emitter ${next}`;
  return next === null ? `its emitter stands on ${loaded(role)}` : `its emitter, on ${loaded(role)}, ${next}`;
}

/** What it does, without figures; empty where the name says all. */
function task(role: Role, figures: RoleFigures): string {
  const partner = role.partner ?? 'its partner';
  const through = role.degeneration === undefined ? '' : ` through ${listed(role.degeneration)}`;
  switch (role.name) {
    case 'follower':
      return emitterWork(role);
    case 'common emitter': {
      const held =
        role.degeneration === undefined
          ? 'nothing in its emitter holds the gain'
          : `${listed(role.degeneration)} in its emitter ${role.degeneration.length > 1 ? 'hold' : 'holds'} the gain`;
      return [collectorWork(role), held].filter((clause) => clause !== '').join('; ');
    }
    case 'common base':
      return ['driven at its emitter', collectorWork(role)].filter((clause) => clause !== '').join(', ');
    case 'current source':
    case 'current sink':
      return role.degeneration === undefined ? 'its base sets its current' : `${listed(role.degeneration)} and its base set its current`;
    case 'diode-connected':
      return `base and collector are one node, ${saySize(figures.baseEmitterVoltage, 'V')} to its emitter`;
    case 'V_BE multiplier':
      return `${listed([...new Set([...(role.divider?.upper ?? []), ...(role.divider?.lower ?? [])])])} set the ${saySize(figures.collectorEmitterVoltage, 'V')} across it`;
    case 'half of a complementary pair':
      return [`with ${partner}${through}`, onward(role)].filter((clause) => clause !== null).join(', ');
    case 'half of a differential pair':
      return [`with ${partner}${role.tail === undefined ? '' : ` on ${listed(role.tail)}`}`, collectorWork(role)]
        .filter((clause) => clause !== '')
        .join(', ');
    case 'mirror':
      return role.position === 'input' ? `sets the current that ${partner} copies` : `copies the current of ${partner}`;
    case 'Darlington member':
    case 'complementary Darlington member': {
      const whole = role.compound === undefined ? '' : `, together a ${role.compound === 'follower' ? 'follower' : 'common emitter stage'}`;
      const place = role.position === 'first' ? `the first, in front of ${partner}` : `the second, behind ${partner}`;
      return [`${place}${whole}`, onward(role)].filter((clause) => clause !== null).join(', ');
    }
    case 'switch':
      return [collectorWork(role), 'the drive alone turns it on'].filter((clause) => clause !== '').join('; ');
    case 'not clear':
      return 'its connections fit no role that has a name here';
  }
}

/**
 * One line about a transistor: role, what it does with which parts, and where it stands, without a full stop, as in
 * "follower: its emitter, on R3, drives C2 and the phones; stands at 7.9 mA, r_e 3.3 Ω".
 * @param figures the transistor's own of the quiescent answer, SI
 */
export function roleSentence(role: Role, figures: RoleFigures): string {
  const does = task(role, figures);
  return `${role.name}: ${does === '' ? '' : `${does}; `}${standing(figures)}`;
}
