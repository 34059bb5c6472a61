/** Groups of parts that belong together wherever they occur: found by connection, used by legs and rows. */
import { type Circuit, type Element, isTransistor } from './elements.ts';

export interface Patterns {
  /** Nodes where the two halves of a long-tailed pair meet: a leg ends there. */
  tails: { node: string; left: Element; right: Element }[];
  mirrors: { input: Element; output: Element }[];
  complementary: { upper: Element; lower: Element; middle: string }[];
  /** Transistors whose collector-emitter is bridged by the chain that sets their base. */
  multipliers: { transistor: Element; chain: Element[] }[];
  darlingtons: { first: Element; second: Element }[];
  /** Capacitors from a follower's output to the joint of two resistors. */
  bootstraps: Element[];
  /** Resistors from a collector or an emitter to a base: feedback, or the way to the next stage. They lie level. */
  intoBases: Element[];
}

/** Elements with a resistor's two ends, by node. */
function touching(circuit: Circuit, node: string): Element[] {
  return circuit.elements.filter((e) => e.first === node || e.second === node || e.control === node);
}

/** The node behind an emitter resistor that only the emitter feeds, or the emitter itself. */
function behindResistor(circuit: Circuit, emitter: string, except: Element): string[] {
  const found = [emitter];
  const there = touching(circuit, emitter).filter((e) => e !== except);
  if (there.length === 1 && there[0].kind === 'resistor') found.push(there[0].first === emitter ? there[0].second : there[0].first);
  return found;
}

function chainBetween(circuit: Circuit, from: string, to: string, by: string): Element[] | null {
  // Resistors only, at most four, through `by`: enough for a multiplier with end stops at its trimmer.
  const walk = (node: string, seen: Element[], tapped: boolean): Element[] | null => {
    if (node === to) return tapped && seen.length > 0 ? seen : null;
    if (seen.length === 4 || circuit.terminals.has(node)) return null;
    for (const e of circuit.elements) {
      if ((e.kind !== 'resistor' && e.kind !== 'trimmer') || e.owner !== 'part' || seen.includes(e)) continue;
      if (e.first !== node && e.second !== node) continue;
      const next = e.first === node ? e.second : e.first;
      const found = walk(next, [...seen, e], tapped || next === by || e.control === by);
      if (found) return found;
    }
    return null;
  };
  return walk(from, [], false);
}

export function patternsOf(circuit: Circuit): Patterns {
  const transistors = circuit.elements.filter(isTransistor);
  const terminal = (node: string): boolean => circuit.terminals.has(node);
  const found: Patterns = { tails: [], mirrors: [], complementary: [], multipliers: [], darlingtons: [], bootstraps: [], intoBases: [] };
  const taken = new Set<Element>();
  const free = (...some: Element[]): boolean => some.every((e) => !taken.has(e));
  const take = (...some: Element[]): void => {
    for (const e of some) taken.add(e);
  };
  const pairs = transistors.flatMap((a, i) => transistors.slice(i + 1).map((b): [Element, Element] => [a, b]));

  for (const a of transistors) {
    for (const b of transistors) {
      if (a !== b && a.kind === b.kind && free(a, b) && a.second === b.control && a.first === b.first && !terminal(a.second)) {
        found.darlingtons.push({ first: a, second: b });
        take(a);
      }
    }
  }
  for (const [a, b] of pairs) {
    if (a.kind !== b.kind || a.control !== b.control || !free(a, b)) continue;
    const [input, output] = a.first === a.control ? [a, b] : [b, a];
    if (input.first !== input.control || output.first === output.control) continue;
    const foot = (e: Element): string | undefined => behindResistor(circuit, e.second, e).find(terminal);
    if (foot(input) !== undefined && foot(input) === foot(output)) {
      found.mirrors.push({ input, output });
      take(input, output);
    }
  }
  for (const [a, b] of pairs) {
    if (a.kind !== b.kind || a.control === b.control || !free(a, b)) continue;
    const others = behindResistor(circuit, b.second, b);
    const tail = behindResistor(circuit, a.second, a).find((node) => !terminal(node) && others.includes(node));
    if (tail === undefined || touching(circuit, tail).length < 3) continue;
    found.tails.push({ node: tail, left: a, right: b });
    take(a, b);
  }
  for (const [a, b] of pairs) {
    if (a.kind === b.kind || !free(a, b)) continue;
    const [upper, lower] = a.kind === 'npn' ? [a, b] : [b, a];
    const others = behindResistor(circuit, lower.second, lower);
    const middle = behindResistor(circuit, upper.second, upper).find((node) => !terminal(node) && others.includes(node));
    if (middle === undefined || !terminal(upper.first) || !terminal(lower.first)) continue;
    found.complementary.push({ upper, lower, middle });
    take(upper, lower);
  }
  for (const transistor of transistors) {
    if (!free(transistor) || transistor.control === undefined) continue;
    const chain = chainBetween(circuit, transistor.first, transistor.second, transistor.control);
    if (!chain) continue;
    found.multipliers.push({ transistor, chain });
    take(transistor);
  }
  const outputs = new Set(transistors.flatMap((t) => behindResistor(circuit, t.second, t)).filter((node) => !terminal(node)));
  for (const e of circuit.elements) {
    if (e.kind !== 'capacitor' || e.owner !== 'part' || terminal(e.first) || terminal(e.second)) continue;
    const betweenResistors = (node: string): boolean => {
      const there = touching(circuit, node).filter((other) => other !== e);
      const ends = there.map((other) => (other.first === node ? other.second : other.first));
      return (
        there.length === 2 &&
        there.every((other) => other.kind === 'resistor' && other.owner === 'part') &&
        ends.filter(terminal).length === 1
      );
    };
    if ((betweenResistors(e.first) && outputs.has(e.second)) || (betweenResistors(e.second) && outputs.has(e.first)))
      found.bootstraps.push(e);
  }
  const ends = new Set(
    transistors.flatMap((t) => [t.first, t.second, ...behindResistor(circuit, t.second, t)]).filter((node) => !terminal(node)),
  );
  const chained = new Set(found.multipliers.flatMap((m) => m.chain));
  for (const e of circuit.elements) {
    if (e.kind !== 'resistor' || e.owner !== 'part' || chained.has(e) || terminal(e.first) || terminal(e.second)) continue;
    for (const [base, end] of [
      [e.first, e.second],
      [e.second, e.first],
    ]) {
      const driven = transistors.filter((t) => t.control === base);
      // A resistor from base to emitter belongs to its transistor, not to a path of the signal.
      if (driven.length === 0 || !ends.has(end) || driven.some((t) => t.second === end)) continue;
      found.intoBases.push(e);
      break;
    }
  }
  return found;
}
