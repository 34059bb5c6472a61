/** Where currents are shown: at the rails, in the middle of a leg where the current changes, and on level parts. */
import { type Circuit, conducts, isTransistor } from './elements.ts';
import { box, boxOfWire, isLevel, lengthOf, liesOn, overlap } from './geometry.ts';
import type { Strip } from './legs.ts';
import type { ArrowSlot, DrawnSymbol, Rail, Wire } from './plan.ts';
import { hasReading } from './rows.ts';
import { ARROW_LENGTH, boxMeets, shapesOf } from './shapes.ts';

const RAIL_TO_ARROW = 30;
/** Two currents of one leg differ for the reader from a twentieth on. */
const CHANGE = 0.05;

export function arrowsOf(
  strips: Strip[],
  x: number[],
  symbols: DrawnSymbol[],
  wires: Wire[],
  rails: Rail[],
  circuit: Circuit,
  currents?: Record<string, number>,
): ArrowSlot[] {
  const found: ArrowSlot[] = [];
  const symbol = new Map(symbols.map((s) => [s.id, s]));
  const obstacles = symbols.flatMap(shapesOf);
  const fits = (a: ArrowSlot): boolean => {
    const half = ARROW_LENGTH / 2 + 1;
    const b =
      a.direction === 'down' || a.direction === 'up'
        ? box(a.at.x - 7, a.at.y - half, a.at.x + 7, a.at.y + half)
        : box(a.at.x - half, a.at.y - 7, a.at.x + half, a.at.y + 7);
    if (obstacles.some((s) => boxMeets(b, s))) return false;
    // Other conductors may not cross or meet an arrow.
    const own = wires.filter((w) => liesOn(a.at, w));
    return !wires.some((w) => !own.includes(w) && overlap(boxInflated(w), b));
  };
  const put = (a: ArrowSlot): boolean => {
    if (!fits(a)) return false;
    found.push(a);
    return true;
  };
  strips.forEach((strip, i) => {
    if (strip.form === 'flat') {
      const s = symbol.get(strip.id);
      if (s?.owner !== 'part') return;
      const nearRight = s.pins.find((p) => p.at.x > s.at.x) ?? s.pins[0];
      const nearLeft = s.pins.find((p) => p.at.x < s.at.x) ?? s.pins[0];
      for (const pin of [nearRight, nearLeft]) {
        const w = wires.find((v) => v.node === pin.node && isLevel(v) && liesOn(pin.at, v));
        if (!w) continue;
        const b = boxOfWire(w);
        const right = pin === nearRight;
        const middle = right ? Math.min((pin.at.x + b.right) / 2, pin.at.x + 36) : Math.max((pin.at.x + b.left) / 2, pin.at.x - 36);
        if ((right ? b.right - pin.at.x : pin.at.x - b.left) < ARROW_LENGTH + 10) continue;
        if (
          put({
            id: `${strip.id} level`,
            part: strip.id,
            terminal: 'first',
            at: { x: middle, y: pin.at.y },
            direction: s.firstLeads ? 'right' : 'left',
          })
        )
          break;
      }
      return;
    }
    const last = strip.nodes.length - 1;
    let shown: number | null = null;
    const current = (k: number): number | null => {
      const e = strip.bodies[k];
      const value = currents?.[e.id];
      return value === undefined ? null : Math.abs(value);
    };
    const slot = (k: number, y: number, place: string): ArrowSlot => {
      const e = strip.bodies[k];
      const above = y < (symbol.get(e.id)?.at.y ?? 0);
      const terminal = above === strip.firstUp[k] ? 'first' : 'second';
      return {
        id: `${e.id} ${place}`,
        part: e.id,
        terminal: isTransistor(e) ? terminal : 'first',
        at: { x: x[i], y },
        direction: strip.firstUp[k] ? 'down' : 'up',
      };
    };
    if (hasReading(strip, 0, circuit) && rails[0]) {
      if (put(slot(0, rails[0].y + RAIL_TO_ARROW, 'top'))) shown = current(0);
    }
    if (strip.role === 'leg') {
      for (let k = 0; k < strip.bodies.length; k++) {
        const e = strip.bodies[k];
        const here = current(k);
        if (here === null || !conducts(e)) continue;
        const lastRead = k === strip.bodies.length - 1 && hasReading(strip, last, circuit);
        const changed = shown === null || Math.abs(here - shown) > CHANGE * Math.max(here, shown);
        if (!changed || (lastRead && k > 0 && !isTransistor(e))) continue;
        if (!isTransistor(e)) continue;
        // The wire above the device, in its upper half so that its name keeps clear.
        const s = symbol.get(e.id);
        if (!s) continue;
        const pin = { x: x[i], y: s.at.y - 17 };
        const w = wires.find((v) => !isLevel(v) && liesOn(pin, v) && boxOfWire(v).top < pin.y - 1);
        if (!w || lengthOf(w) < ARROW_LENGTH + 26) continue;
        const b = boxOfWire(w);
        if (put(slot(k, Math.round((Math.max(b.top, pin.y - 110) + pin.y) / 2), 'middle'))) shown = here;
      }
    }
    if (hasReading(strip, last, circuit)) {
      const rail = rails.find((r) => r.node === circuit.bottom);
      if (rail) put(slot(strip.bodies.length - 1, rail.y - RAIL_TO_ARROW, 'bottom'));
    }
  });
  return found;
}

const boxInflated = (w: Wire): ReturnType<typeof box> => {
  const b = boxOfWire(w);
  return box(b.left - 1, b.top - 1, b.right + 1, b.bottom + 1);
};
