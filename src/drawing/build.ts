/** One drawing of one order of strips. */
import { arrowsOf } from './arrows.ts';
import { linkKey, solveColumns } from './columns.ts';
import { type Circuit, isTransistor } from './elements.ts';
import { box, boxOfWire, union } from './geometry.ts';
import { facings } from './joins.ts';
import { collides, frameOf, letter, railLabel } from './labels.ts';
import type { Strip } from './legs.ts';
import { FEEDBACK_STEP } from './order.ts';
import type { Patterns } from './patterns.ts';
import { placeAll } from './place.ts';
import type { Scene } from './places.ts';
import type { Label, Plan, Terminal } from './plan.ts';
import { endKind, solveRows } from './rows.ts';
import { scoreOf } from './score.ts';
import { arrowBox } from './shapes.ts';
import type { TextMetrics } from './text.ts';

export interface BuildOptions {
  width: number;
  tight: number;
  metrics: TextMetrics;
  currents?: Record<string, number>;
  ranks: Map<string, number>;
  places?: Record<string, string>;
  /** Volts at rest, where they are known. */
  potentials?: Record<string, number>;
  /** Extra distance between columns, for orders whose texts find no place otherwise. */
  spread: number;
  /** How often labels without a place may ask for more room. */
  patience: number;
}

/** By tightness: 0 roomy, 1 plain, 2 names over volts, 3 without generator, 4 as close as texts allow. */
const PITCH = [72, 66, 62, 52, 44];
const READING = [48, 48, 48, 46, 46];
const PADDING = 6;

/** Lays out one order; deterministic, and never throws for an order of the circuit's own strips. */
export function build(strips: Strip[], circuit: Circuit, patterns: Patterns, options: BuildOptions): Plan {
  const toLeft = new Set(strips.flatMap((s) => (s.form === 'column' && s.role === 'bootstrap' ? s.bodies.map((b) => b.id) : [])));
  const extra = new Map<string, number>();
  const links = new Map<string, number>();
  const behind = new Map<string, number>();
  let latest = attempt();
  let best = latest.plan;
  let least = options.patience > 0 ? scoreOf(best).total : 0;
  for (let turn = 0; turn < options.patience && latest.asked; turn++) {
    latest = attempt();
    const total = scoreOf(latest.plan).total;
    // Texts beside their row do not count in the score: of equals the later, roomier one is kept.
    if (total <= least + 1) {
      best = latest.plan;
      least = total;
    }
  }
  return best;

  function attempt(): { plan: Plan; asked: boolean } {
    const rows = solveRows(strips, circuit, patterns, {
      extra,
      spread: options.spread,
      reading: READING[options.tight] ?? 46,
      readings: true,
    });
    const columns = solveColumns(strips, rows, circuit, patterns, options.metrics, {
      links,
      behind,
      pitch: (PITCH[options.tight] ?? 52) + options.spread,
      spread: options.spread,
      tight: options.tight,
      width: options.width,
    });
    const placed = placeAll(strips, rows, columns.x, circuit);
    const arrows = arrowsOf(strips, columns.x, placed.symbols, placed.wires, placed.rails, circuit, options.currents);
    const signed = [...circuit.terminals.values()].some((v) => v < 0);
    const scene: Scene = {
      circuit,
      ...placed,
      arrows,
      frames: [],
      metrics: options.metrics,
      width: options.width,
      signed,
      tight: options.tight,
      previous: options.places,
      toLeft,
    };
    const frame = circuit.loadName === undefined ? null : frameOf(circuit.loadName, scene);
    if (frame) scene.frames = [frame];
    hangEarth(scene, columns.x, strips);
    openEnds(scene);
    const fixed = nameRails(scene);
    const lettering = letter(scene, fixed);

    let asked = false;
    for (const miss of lettering.failed) {
      if (miss.kind === 'node') {
        // Stretch a link of the node, or give the joint between two bodies more height.
        const link = rows.links
          .filter((l) => l.node === miss.of)
          .sort((a, b) => columns.x[b.to.strip] - columns.x[b.from.strip] - (columns.x[a.to.strip] - columns.x[a.from.strip]))[0];
        if (link && (links.get(linkKey(link)) ?? 0) < miss.width + 14) {
          links.set(linkKey(link), miss.width + 18);
          asked = true;
          continue;
        }
        const i = strips.findIndex((s) => s.form === 'column' && s.nodes.includes(miss.of));
        const strip = strips[i];
        if (strip?.form !== 'column') continue;
        const key = `${i}.${strip.nodes.indexOf(miss.of)}`;
        if ((extra.get(key) ?? 0) < 40) {
          extra.set(key, (extra.get(key) ?? 0) + 14);
          asked = true;
        }
        continue;
      }
      const owner = strips.find((s) => (s.form === 'flat' ? s.id === miss.of : s.bodies.some((b) => b.id === miss.of)));
      if (owner && (behind.get(owner.id) ?? 0) < 160) {
        behind.set(owner.id, (behind.get(owner.id) ?? 0) + 24);
        asked = true;
      }
    }
    for (const miss of lettering.aside) {
      const link = rows.links.find((l) => l.node === miss.of && rows.level.has(l) && (links.get(linkKey(l)) ?? 0) === 0);
      if (!link || columns.width + 40 > options.width) continue;
      links.set(linkKey(link), miss.width + 24);
      asked = true;
    }
    return { plan: assemble(scene, lettering.labels, placed.broken, rows.ranks, rows.bottom), asked };
  }

  function assemble(scene: Scene, labels: Label[], broken: string[], ranks: string[][], bottom: number): Plan {
    const faults = broken.map((node) => `no way was found for ${node}`);
    for (const l of labels)
      if (l.onPointing && l.kind !== 'node' && l.kind !== 'supply') faults.push(`no place was found for the text of ${l.of}`);
    let area = box(0, 0, 1, 1);
    const boxes = [
      ...scene.symbols.map((s) => s.body),
      ...scene.wires.map(boxOfWire),
      ...labels.filter((l) => !l.onPointing).map((l) => l.box),
      ...scene.frames.map((f) => f.box),
      ...scene.rails.map((r) => box(r.from, r.y, r.to, r.y)),
      ...scene.terminals.map((t) => box(t.at.x - 4, t.at.y - 4, t.at.x + 4, t.at.y + 4)),
      ...scene.earths.map((e) => box(e.at.x - 10, e.at.y, e.at.x + 10, e.at.y + 9)),
      ...scene.arrows.map(arrowBox),
    ];
    if (boxes.length > 0) area = boxes.reduce(union);
    // Centred in its width; wider ones begin at the margin.
    const wide = area.right - area.left + 2 * PADDING;
    const shift = Math.round(wide <= options.width ? options.width / 2 - (area.left + area.right) / 2 : PADDING - area.left);
    // A row of a folded drawing that has no upper rail begins where its parts begin.
    const drop = Math.round(area.top < PADDING || !scene.rails.some((r) => r.y < 60) ? PADDING - area.top : 0);
    const move = (p: { x: number; y: number }): { x: number; y: number } => ({ x: p.x + shift, y: p.y + drop });
    const moveBox = (b: Plan['box']): Plan['box'] => box(b.left + shift, b.top + drop, b.right + shift, b.bottom + drop);
    const height = Math.ceil((scene.rails.some((r) => r.y < 60) ? Math.max(area.bottom, bottom) : area.bottom) + drop + PADDING + 2);
    const right = Math.max(options.width, area.right + shift + PADDING);
    return {
      width: options.width,
      height,
      symbols: scene.symbols.map((s) => ({
        ...s,
        at: move(s.at),
        body: moveBox(s.body),
        pins: s.pins.map((p) => ({ node: p.node, at: move(p.at) })),
      })),
      wires: scene.wires.map((w) => ({ node: w.node, from: move(w.from), to: move(w.to) })),
      dots: scene.dots.map((d) => ({ node: d.node, at: move(d.at) })),
      terminals: scene.terminals.map((t) => ({ ...t, at: move(t.at) })),
      rails: scene.rails.map((r) => ({ ...r, from: r.from + shift, to: r.to + shift, y: r.y + drop })),
      earths: scene.earths.map((e) => ({ at: move(e.at) })),
      labels: labels.map((l) => ({ ...l, at: move(l.at), box: moveBox(l.box) })),
      arrows: scene.arrows.map((a) => ({ ...a, at: move(a.at) })),
      frames: scene.frames.map((f) => ({ ...f, box: moveBox(f.box) })),
      box: box(0, 0, right, height),
      symmetries: symmetries(),
      reversals: reversals(),
      ranks,
      upended: upended(scene),
      faults,
      memory: {
        order: strips.map((s) => s.id),
        legs: strips.flatMap((s) => (s.form === 'column' ? [s.bodies.map((b) => b.id)] : [])),
        places: Object.fromEntries(labels.filter((l) => !l.onPointing).map((l) => [l.id, l.place])),
        tightness: options.tight,
      },
    };
  }

  /** Upright parts whose higher end lies below; feet on ground are excused. */
  function upended(scene: Scene): string[] {
    const { potentials } = options;
    if (!potentials) return [];
    const volts = (node: string): number => circuit.terminals.get(node) ?? potentials[node] ?? Number.NaN;
    const held = [...circuit.terminals.values()];
    const decisive = 0.01 * (Math.max(...held) - Math.min(...held));
    return scene.symbols
      .filter((s) => s.upright && s.owner === 'part' && s.kind !== 'npn' && s.kind !== 'pnp' && s.pins.every((p) => p.node !== 'gnd'))
      .filter((s) => {
        const [upper, lower] = [...s.pins.slice(0, 2)].sort((a, b) => a.at.y - b.at.y);
        return volts(lower.node) - volts(upper.node) > decisive;
      })
      .map((s) => s.id);
  }

  function symmetries(): Plan['symmetries'] {
    const found: Plan['symmetries'] = [];
    for (const { input, output } of patterns.mirrors) found.push({ pair: [input.id, output.id], about: '', axis: 'column' });
    for (const { node, left, right } of patterns.tails) {
      const tail = strips.find((s) => s.form === 'column' && s.nodes[0] === node && !s.bodies.includes(left) && !s.bodies.includes(right));
      found.push({ pair: [left.id, right.id], about: tail?.form === 'column' ? tail.bodies[0].id : '', axis: 'column' });
    }
    for (const { upper, lower } of patterns.complementary) found.push({ pair: [upper.id, lower.id], about: '', axis: 'row' });
    return found;
  }

  /** Transistors whose base lies right of them though nothing is mirrored, and level parts against the signal. */
  function reversals(): Plan['reversals'] {
    const signal: string[] = [];
    const feedback: string[] = [];
    const rank = (node: string): number => options.ranks.get(node) ?? Number.NaN;
    const paired = new Set([...patterns.tails.flatMap((t) => [t.left, t.right]), ...patterns.mirrors.flatMap((m) => [m.input, m.output])]);
    const facing = facings(strips, circuit, patterns);
    strips.forEach((strip, i) => {
      if (strip.form !== 'column') return;
      strip.bodies.forEach((b, k) => {
        if (!isTransistor(b) || b.control === undefined || paired.has(b) || facing.get(`${i}.${k}`) !== 'right') return;
        // The signal comes from the left wherever it reaches the base before collector and emitter.
        const [here, ...ends] = [b.control, b.first, b.second].map(rank);
        if (ends.some((r) => r > here)) signal.push(b.id);
      });
    });
    // The half of a pair that the drive reaches first stands left.
    for (const { left, right } of patterns.tails) {
      const [a, b] = [left, right].map((e) => rank(e.control ?? ''));
      const column = (e: { id: string }): number => strips.findIndex((s) => s.form === 'column' && s.bodies.some((x) => x.id === e.id));
      if ((a < b && column(left) > column(right)) || (b < a && column(right) > column(left))) signal.push(a < b ? left.id : right.id);
    }
    // A leg whose signal comes later stands right of those where it comes earlier; feedback networks are excused.
    const legs = strips.flatMap((s) => {
      if (s.form !== 'column' || (s.role !== 'leg' && s.role !== 'bypass')) return [];
      const reached = s.nodes
        .filter((n) => !circuit.terminals.has(n))
        .map(rank)
        .filter((r) => !Number.isNaN(r));
      const steers = circuit.elements.some(
        (e) => isTransistor(e) && e.control !== undefined && s.nodes.includes(e.control) && rank(e.second) < rank(e.control),
      );
      return reached.length === 0 || steers ? [] : [{ id: s.id, rank: Math.min(...reached) }];
    });
    legs.forEach((leg, i) => {
      if (legs.slice(i + 1).some((other) => other.rank < leg.rank - 1.5)) signal.push(leg.id);
    });
    for (const strip of strips) {
      if (strip.form !== 'flat' || strip.body.kind === 'end') continue;
      const [l, r] = [rank(strip.left), rank(strip.right)];
      // Feedback runs from right to left, everything else from left to right.
      const ahead = r - l;
      if (Math.abs(Math.abs(ahead) - FEEDBACK_STEP) < 1e-9) {
        // Reached by feedback alone: its far end has the higher rank.
        if (ahead > 0) feedback.push(strip.id);
      } else if (ahead < -1.5) feedback.push(strip.id);
      else if (ahead < -1e-9) signal.push(strip.id);
    }
    return { signal, feedback };
  }

  /** Under a ground rail hangs one earth symbol, between two legs. */
  function hangEarth(scene: Scene, x: number[], order: Strip[]): void {
    const rail = scene.rails.find((r) => r.node === 'gnd' && r.y > 100);
    if (!rail) return;
    const feet = order
      .flatMap((s, i) => (s.form === 'column' && endKind(s, s.nodes.length - 1, circuit) === 'rail' ? [x[i]] : []))
      .sort((a, b) => a - b);
    let at = rail.to + 10;
    for (let i = 1; i < feet.length; i++) {
      if (feet[i] - feet[i - 1] >= 34) {
        at = Math.round((feet[i - 1] + feet[i]) / 2);
        break;
      }
    }
    // A rail too short to hang it between two legs grows by what it needs.
    if (at > rail.to) rail.to = at + 4;
    scene.earths.push({ at: { x: at, y: rail.y + 6 } });
    scene.wires.push({ node: 'gnd', from: { x: at, y: rail.y }, to: { x: at, y: rail.y + 6 } });
    scene.dots.push({ node: 'gnd', at: { x: at, y: rail.y } });
  }

  /** The drive's and the output's node end in an open circle where nothing hangs on them. */
  function openEnds(scene: Scene): void {
    const ends: Terminal[] = [];
    for (const w of scene.wires) {
      if (circuit.terminals.has(w.node)) continue;
      for (const p of [w.from, w.to]) {
        const others = scene.wires.filter((v) => v !== w && v.node === w.node && within(p, boxOfWire(v)));
        const ended = scene.terminals.some((t) => Math.abs(t.at.x - p.x) < 4 && Math.abs(t.at.y - p.y) < 4);
        const pin = ended || scene.symbols.some((s) => s.pins.some((q) => Math.abs(q.at.x - p.x) < 0.1 && Math.abs(q.at.y - p.y) < 0.1));
        if (others.length === 0 && !pin) {
          const other = p === w.from ? w.to : w.from;
          const dx = Math.sign(p.x - other.x) * 3.5;
          const dy = Math.sign(p.y - other.y) * 3.5;
          ends.push({ node: w.node, at: { x: p.x + dx, y: p.y + dy }, kind: 'open' });
        }
      }
    }
    scene.terminals.push(...ends);
  }

  /** Supply names stand left of their rails; both right where something is in the way. */
  function nameRails(scene: Scene): Label[] {
    for (const side of ['left', 'right'] as const) {
      const named = scene.rails.filter((r) => r.node !== 'gnd').map((r) => railLabel(r, side, scene));
      const labels = named.map((n) => n.label);
      if (side === 'right' || !labels.some((l) => collides(l.box, scene, []))) {
        scene.terminals.push(...named.map((n) => n.terminal));
        return labels;
      }
    }
    return [];
  }
}

const within = (p: { x: number; y: number }, b: Plan['box']): boolean =>
  p.x >= b.left - 0.1 && p.x <= b.right + 0.1 && p.y >= b.top - 0.1 && p.y <= b.bottom + 0.1;
