/** Where does it sit with no signal? */
import { conductionOf, diodeConductionOf, dissipations, largestCurrent } from '../circuit/device-figures.ts';
import { DEVICE_SLOPES, type Kernel } from '../circuit/kernel.ts';
import { rolesOf } from '../explain/roles.ts';
import { regionOf, thresholdAtRest } from '../explain/states.ts';
import type { Part } from '../sheet/types.ts';
import { searchFurther } from '../solve/search.ts';
import type { Stage } from '../solve/stage.ts';
import { base, KELVIN, quiescentNotes } from './common.ts';
import type { QuiescentAnswer, TransistorFigures, TwoTerminalFigures } from './types.ts';

/** The answer from a stage that stands at rest; with `search` also the other points at which it could, at the same junction temperatures. */
export function quiescentAnswer(stage: Stage, isothermal: boolean, search: boolean): QuiescentAnswer {
  const { kernel, network, sheet, x } = stage;
  kernel.evaluate(x, null, false);
  const nodesOf = (at: Float64Array) => Object.fromEntries(network.nodes.slice(0, network.named).map((name, i) => [name, at[i]]));
  const supplies = Object.fromEntries(
    network.branches.flatMap((b, k) => {
      if (b.kind !== 'supply') return [];
      // The branch's current flows from the node through the source to ground.
      const current = -x[network.nodes.length + k];
      return [[b.part, { current, power: b.emf * current }]];
    }),
  );
  const parts = partFigures(stage);
  const notes = quiescentNotes(stage, isothermal);
  const { starts, others } = search ? searchFurther(stage) : { starts: 0, others: [] };
  if (starts > 0) notes.push({ kind: 'search', starts, solutions: others.length + 1 });
  if (others.length > 0) notes.push({ kind: 'several-resting-points', count: others.length + 1 });
  return {
    ...base('quiescent', sheet, notes),
    nodes: nodesOf(x),
    parts,
    supplies,
    otherSolutions: others.map((other) => ({ nodes: nodesOf(other.x), stable: other.stable })),
    search: '',
  };
}

/** Figures of every part at the stage's solution. */
export function partFigures(stage: Stage): QuiescentAnswer['parts'] {
  const { kernel, network, sheet, x, temperatures } = stage;
  const threshold = thresholdAtRest(largestCurrent(kernel, x));
  const power = dissipations(kernel, x);
  const v = (i: number): number => (i < 0 ? 0 : x[i]);
  const roles = rolesOf(sheet);
  const parts: QuiescentAnswer['parts'] = {};
  for (const part of sheet.parts) {
    if (part.lifted) continue;
    const t = network.transistors.findIndex((e) => e.part === part.name);
    if (t >= 0) {
      const { outer } = network.transistors[t];
      const figures = transistorFigures(kernel, t, threshold);
      parts[part.name] = {
        ...figures,
        baseEmitterVoltage: v(outer.base) - v(outer.emitter),
        collectorEmitterVoltage: v(outer.collector) - v(outer.emitter),
        dissipation: power[t],
        junctionTemperature: temperatures[t] - KELVIN,
        role: { name: roles[part.name].name, sentence: '' },
      };
      continue;
    }
    const d = network.diodes.findIndex((e) => e.part === part.name);
    if (d >= 0) {
      const { outerAnode, cathode } = network.diodes[d];
      const k = network.transistors.length + d;
      parts[part.name] = {
        voltage: v(outerAnode) - v(cathode),
        current: diodeConductionOf(kernel, d).current,
        dissipation: power[k],
        region: regionOf(kernel, k, threshold),
        junctionTemperature: temperatures[k] - KELVIN,
      };
      continue;
    }
    const figures = twoTerminalFigures(stage, part);
    if (figures) parts[part.name] = figures;
  }
  return parts;
}

/** What the junctions say of transistor k at the kernel's last evaluation. */
function transistorFigures(kernel: Kernel, k: number, threshold: number) {
  const c = conductionOf(kernel, k);
  const [ce, cc, be, bc] = kernel.slopes.subarray(DEVICE_SLOPES * k, DEVICE_SLOPES * (k + 1));
  const region = regionOf(kernel, k, threshold);
  const conducts = region === 'active' || region === 'saturated';
  const emitterConductance = ce + cc + be + bc;
  return {
    region,
    collectorCurrent: c.collectorCurrent,
    baseCurrent: c.baseCurrent,
    emitterCurrent: c.emitterCurrent,
    beta: conducts && c.baseCurrent !== 0 ? c.collectorCurrent / c.baseCurrent : null,
    transconductance: ce + cc,
    emitterResistance: conducts && emitterConductance > 0 ? 1 / emitterConductance : null,
  } satisfies Partial<TransistorFigures>;
}

/** Voltage, current and heat of a part between two terminals at rest; null where nothing of it is left in the network. */
function twoTerminalFigures(stage: Stage, part: Part): TwoTerminalFigures | null {
  const { network, x } = stage;
  if (!('from' in part)) return null;
  const at = (name: string): number => {
    const i = network.nodes.indexOf(name);
    return i < 0 ? 0 : x[i];
  };
  const voltage = at(part.from) - at(part.to);
  const branchCurrent = (inner?: string): number | null => {
    const k = network.branches.findIndex((b) => b.part === part.name && !b.ofLoad && b.inner === inner);
    return k < 0 ? null : x[network.nodes.length + k];
  };
  if (part.shorted) return { voltage, current: branchCurrent() ?? 0, dissipation: 0 };
  switch (part.kind) {
    case 'resistor':
      return { voltage, current: voltage / part.resistance, dissipation: (voltage * voltage) / part.resistance };
    case 'trimmer': {
      const upper = branchCurrent('upper') ?? 0;
      const lower = branchCurrent('lower') ?? 0;
      const r = part.resistance;
      return { voltage, current: upper, dissipation: r * part.position * upper * upper + r * (1 - part.position) * lower * lower };
    }
    case 'capacitor': {
      const leak =
        part.leakage > 0 && part.rating !== undefined ? part.rating / part.leakage + part.seriesResistance : Number.POSITIVE_INFINITY;
      return { voltage, current: voltage / leak, dissipation: (voltage * voltage) / leak };
    }
    case 'inductor':
    case 'speaker':
    case 'voltage': {
      const current = branchCurrent() ?? 0;
      const resistance =
        part.kind === 'inductor' ? part.seriesResistance : part.kind === 'speaker' ? part.speaker.resistance : part.resistance;
      return { voltage, current, dissipation: resistance * current * current };
    }
    case 'current':
      return { voltage, current: part.amperes, dissipation: voltage * part.amperes };
    default:
      return null;
  }
}
