/** The unit of a figure by its dotted name in an answer, so that no figure is printed without one. */
import type { Unit } from '../quantity/index.ts';

/** By the last step of the name. */
const BY_KEY: Readonly<Record<string, Unit>> = {
  ...keys('V', 'volts voltage room drive quiescentOutput outputFrom outputTo baseEmitterVoltage collectorEmitterVoltage output level'),
  ...keys('V', 'changed mean minimum maximum peakToPeak rms predicted observed'),
  ...keys('A', 'current collectorCurrent baseCurrent emitterCurrent meanCurrent peakCollectorCurrent amperes capacity'),
  ...keys('W', 'power dissipation meanPower meanDissipation peakDissipation outputPower'),
  ...keys('S', 'transconductance'),
  ...keys('Ω', 'emitterResistance'),
  ...keys('Hz', 'frequency lowCorner highCorner'),
  ...keys('s', 'period duration timeConstant'),
  ...keys('°C', 'junctionTemperature'),
  ...keys('°', 'phase'),
  ...keys('share', 'efficiency distortion relativeToFundamental relativeToTotal departure'),
};

function keys(unit: Unit, names: string): Record<string, Unit> {
  return Object.fromEntries(names.split(' ').map((name): [string, Unit] => [name, unit]));
}

/** `nodes.out` is in volts, `parts.Q1.beta` a plain number. */
export function unitOfFigure(name: string): Unit {
  const steps = name.split('.');
  const last = steps.at(-1) ?? '';
  const before = steps.at(-2) ?? '';
  if (steps[0] === 'nodes' || before === 'deadZone') return 'V';
  if (last === 'magnitude') return /Impedance$/.test(before) ? 'Ω' : before === 'fundamental' ? 'V' : 'number';
  return Object.hasOwn(BY_KEY, last) ? BY_KEY[last] : 'number';
}
