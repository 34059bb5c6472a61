/** The ends of the swing by pencil: where a follower lets go, where it meets its rail, the ends of a gain stage, the dead zone. */
import type { Transistor } from '../../sheet/types.ts';
import { isActive, legsAt, PENCIL_BASE_EMITTER, type RestFacts, rail, railVolts, total } from './facts.ts';
import { difference, type Formula, negative, product, quotient, sum, symbol } from './formula.ts';
import { type LedgerLine, line } from './line.ts';
import { letsGo, loadOf, type OutputFollower, outputFollowers } from './output.ts';
import { lookInto, multiplied } from './seen.ts';

/** V: what a saturated transistor keeps between collector and emitter. Common practice, no source: 0.1 to 0.2 V. */
const SATURATION = 0.15;
/** V of drive within which neither half of an unbiased pair conducts. Common practice, no source. */
const DEAD = 0.6;

/** One end of the swing as answered, V. */
export interface End {
  /** The flat where there is one, else the limit. */
  volts: number;
  /** The part that is blamed, and what it did. */
  part: string | null;
  event: string;
}
export interface SwingFigures {
  quiescentOutput: number;
  high: End | null;
  low: End | null;
  deadZone: { from: number; to: number } | null;
}

export function swingLedger(facts: RestFacts, figures: SwingFigures): LedgerLine[] {
  const sides = [
    { end: figures.low, up: false },
    { end: figures.high, up: true },
  ];
  const lines = sides.flatMap(({ end, up }) => (end ? endLines(facts, figures, end, up) : []));
  return [...deadZoneLines(figures), ...lines];
}

const nameOf = (up: boolean): string => (up ? 'flat at the top' : 'flat at the bottom');

function deadZoneLines({ deadZone }: SwingFigures): LedgerLine[] {
  if (!deadZone) return [];
  const one = symbol('V_BE', DEAD, 'V');
  return [
    ...line('upper end of the dead zone', 'V', one, deadZone.to),
    ...line('lower end of the dead zone', 'V', negative(one), deadZone.from),
  ];
}

/** The rules that are meant for the part that stops this end; none where another part stops it. */
function endLines(facts: RestFacts, figures: SwingFigures, end: End, up: boolean): LedgerLine[] {
  const moved = end.volts - figures.quiescentOutput;
  for (const follower of outputFollowers(facts)) {
    const { t } = follower;
    const towardsRail = up === (t.kind === 'npn');
    if (!towardsRail && end.event === 'cuts-off' && stops(facts, t, end)) {
      const flat = letsGo(facts, follower);
      if (flat) return line(nameOf(up), 'V', flat.formula, flat.level ? end.volts : moved);
    }
    if (towardsRail && end.event === 'saturates' && stops(facts, t, end)) return toRail(facts, follower, end, moved, up);
    if (towardsRail && end.event === 'cuts-off') {
      const line = starvedBase(facts, follower, end, up);
      if (line.length > 0) return line;
    }
  }
  return gainStageEnd(facts, end, moved, up);
}

/** True where the blame is the transistor's, or that of the one that works with it. */
function stops(facts: RestFacts, t: Transistor, end: End): boolean {
  return (
    end.part === t.name || (end.part !== null && facts.roles[t.name]?.partner === end.part && facts.roles[t.name]?.compound !== undefined)
  );
}

/** V_CC − V_CEsat, less where the emitter rests behind a capacitor, and less one V_BE where the first of two saturates. */
function toRail(facts: RestFacts, { t, share, coupled }: OutputFollower, end: End, moved: number, up: boolean): LedgerLine[] {
  const volts = railVolts(facts, t.collector);
  if (volts === null) return [];
  const side = (f: Formula): Formula => (up ? negative(f) : f);
  const first = facts.roles[t.name]?.compound !== undefined && end.part !== t.name;
  const kept = [symbol('V_CEsat', SATURATION, 'V'), ...(first ? [symbol('V_BE', PENCIL_BASE_EMITTER, 'V')] : [])].map(side);
  const rests = coupled ? [negative(symbol('V_E', facts.nodes[t.emitter], 'V'))] : [];
  const level = total(rail(facts, t.collector), ...kept, ...rests);
  return line(nameOf(up), 'V', share.length > 0 ? product(level, ...share) : level, coupled ? moved : end.volts);
}

/**
 * A base fed through a resistor from its own rail, the signal's way to it closed by a diode that let go: what the
 * resistor can still give, times beta, in the load.
 */
function starvedBase(facts: RestFacts, { t, coupled }: OutputFollower, end: End, up: boolean): LedgerLine[] {
  const load = loadOf(facts);
  const legs = legsAt(facts, t.base).filter((leg) => railVolts(facts, leg.end) === railVolts(facts, t.collector));
  const blamed = facts.graph.diodes.find((d) => d.name === end.part);
  if (coupled || !load || legs.length !== 1 || !blamed) return [];
  if (!facts.graph.same(blamed.a, t.base) && !facts.graph.same(blamed.b, t.base)) return [];
  const between = facts.graph
    .resistorsAt(t.emitter)
    .filter((r) => facts.sheet.output !== undefined && facts.graph.same(r.other, facts.sheet.output));
  const all = sum(load, ...between.map((r) => symbol(r.name, r.resistance, 'Ω')), quotient(legs[0].formula, multiplied(facts, t)));
  const drop = symbol('V_BE', PENCIL_BASE_EMITTER, 'V');
  const across = difference(rail(facts, t.collector), up ? drop : negative(drop));
  return line(nameOf(up), 'V', product(across, quotient(load, all)), end.volts);
}

/** A collector on the output, or on what follows to it: up by I_C in what it sees, down until it saturates; a pair's tail either way. */
function gainStageEnd(facts: RestFacts, end: End, moved: number, up: boolean): LedgerLine[] {
  const { graph, roles, sheet } = facts;
  const { output } = sheet;
  if (output === undefined || sheet.drive === undefined) return [];
  for (const t of graph.transistors) {
    const role = roles[t.name];
    if (!isActive(facts, t) || graph.grounded(t.collector)) continue;
    const stands = symbol('I_C', Math.abs(facts.transistors[t.name].collectorCurrent), 'A');
    const straight = graph.sameSignal(t.collector, output);
    const followed = graph.transistors.some(
      (f) => roles[f.name]?.name === 'follower' && graph.same(f.base, t.collector) && graph.sameSignal(f.emitter, output),
    );
    if (!straight && !followed) continue;
    if (role?.name === 'half of a differential pair' && (end.part === t.name || end.part === role.partner)) {
      const seen = lookInto(facts, t.collector, { without: [t.name] });
      return seen ? line(nameOf(up), 'V', up ? product(stands, seen) : negative(product(stands, seen)), moved) : [];
    }
    if (role?.name !== 'common emitter' || end.part !== t.name) continue;
    const seen = lookInto(facts, t.collector, { without: [t.name] });
    if (!seen) continue;
    const awayFromEmitter = up === (t.kind === 'npn');
    const side = (f: Formula): Formula => (up ? f : negative(f));
    if (awayFromEmitter && (end.event === 'cuts-off' || end.event === 'fades'))
      return line(nameOf(up), 'V', side(product(stands, seen)), moved);
    if (!awayFromEmitter && end.event === 'saturates') {
      const across = symbol(t.kind === 'npn' ? 'V_CE' : 'V_EC', Math.abs(facts.transistors[t.name].collectorEmitterVoltage), 'V');
      const room = difference(across, symbol('V_CEsat', SATURATION, 'V'));
      const below = (role.degeneration ?? []).flatMap((name) =>
        graph.resistors.filter((r) => r.name === name).map((r) => symbol(r.name, r.resistance, 'Ω')),
      );
      const shared = below.length > 0 ? product(room, quotient(seen, sum(seen, ...below))) : room;
      return line(nameOf(up), 'V', side(shared), moved);
    }
  }
  return [];
}
