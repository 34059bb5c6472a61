/**
 * Difference constraints on one axis, "this lies at least so far behind that", solved by longest paths; and a
 * fair sharing of the slack that they leave.
 */
export class Differences {
  /** `to` lies at least `gap` behind `from`. */
  private readonly edges: { from: number; to: number; gap: number; spring: number }[] = [];
  private readonly names: string[] = [];
  private readonly index = new Map<string, number>();
  /** Smallest places that satisfy every constraint so far. */
  private least: number[] = [];
  private readonly outgoing: number[][] = [];
  private unsettled: number[] = [];

  variable(name: string): number {
    const known = this.index.get(name);
    if (known !== undefined) return known;
    this.index.set(name, this.names.length);
    this.names.push(name);
    this.least.push(0);
    return this.names.length - 1;
  }

  has(name: string): boolean {
    return this.index.has(name);
  }

  at(name: string): number {
    const i = this.index.get(name);
    return i === undefined ? 0 : this.least[i];
  }

  /** Adds a constraint that is known to hold together with the earlier ones once all are in. */
  add(from: string, to: string, gap: number, spring = 0): void {
    this.insert(from, to, gap, spring);
    this.unsettled.push(this.edges.length - 1);
  }

  private insert(from: string, to: string, gap: number, spring: number): void {
    const edge = { from: this.variable(from), to: this.variable(to), gap, spring };
    this.edges.push(edge);
    const leaving = this.outgoing[edge.from] ?? [];
    leaving.push(this.edges.length - 1);
    this.outgoing[edge.from] = leaving;
  }

  /** Adds constraints together; leaves everything as it was and returns false if they contradict the earlier ones. */
  tryAll(
    constraints: { from: string; to: string; gap: number; spring?: number }[],
    ceiling = Number.POSITIVE_INFINITY,
    of?: string,
  ): boolean {
    if (this.unsettled.length > 0) {
      const waiting = this.unsettled;
      this.unsettled = [];
      this.relax(waiting, new Map(), null);
    }
    const before = this.edges.length;
    const changed = new Map<number, number>();
    if (this.insertAll(constraints, changed) && (of === undefined || this.at(of) <= ceiling + 1e-9)) return true;
    this.withdraw(before, changed);
    return false;
  }

  /** Whether constraints could be added, which they are not. */
  fits(constraints: { from: string; to: string; gap: number }[]): boolean {
    this.tryAll([]);
    const before = this.edges.length;
    const changed = new Map<number, number>();
    const found = this.insertAll(constraints, changed);
    this.withdraw(before, changed);
    return found;
  }

  /** One after the other: each is a contradiction exactly if what it pushes comes back to push its own origin. */
  private insertAll(constraints: { from: string; to: string; gap: number; spring?: number }[], changed: Map<number, number>): boolean {
    for (const { from, to, gap, spring } of constraints) {
      this.insert(from, to, gap, spring ?? 0);
      if (!this.relax([this.edges.length - 1], changed, this.variable(from))) return false;
    }
    return true;
  }

  private withdraw(before: number, changed: Map<number, number>): void {
    for (let i = this.edges.length - 1; i >= before; i--) this.outgoing[this.edges[i].from].pop();
    this.edges.length = before;
    for (const [i, value] of changed) this.least[i] = value;
  }

  equal(a: string, b: string, ceiling?: number, of?: string): boolean {
    return this.tryAll(
      [
        { from: a, to: b, gap: 0 },
        { from: b, to: a, gap: 0 },
      ],
      ceiling,
      of,
    );
  }

  /** Pushes places outwards along the given constraints and all that follow; false once `origin` itself is pushed. */
  private relax(first: number[], changed: Map<number, number>, origin: number | null): boolean {
    let queue: number[] = [];
    let circular = false;
    const push = (edge: number): void => {
      const { from, to, gap } = this.edges[edge];
      const needed = this.least[from] + gap;
      if (needed <= this.least[to] + 1e-9) return;
      if (to === origin) {
        circular = true;
        return;
      }
      if (!changed.has(to)) changed.set(to, this.least[to]);
      this.least[to] = needed;
      queue.push(to);
    };
    for (const edge of first) push(edge);
    while (queue.length > 0) {
      const round = queue;
      queue = [];
      for (const i of round) {
        for (const edge of this.outgoing[i] ?? []) push(edge);
        if (circular) return false;
      }
    }
    return true;
  }

  /**
   * Shares out the slack: groups that are tied together move between their limits to where their springs pull
   * least, `fixed` ones stay. Returns places by name.
   */
  settle(fixed: Map<string, number>, sweeps: number): Map<string, number> {
    const n = this.names.length;
    const y = [...this.least];
    // Groups: variables whose distance is settled by a pair of opposite constraints.
    const group = Array.from({ length: n }, (_, i) => i);
    const find = (i: number): number => {
      let top = i;
      while (group[top] !== top) top = group[top];
      return top;
    };
    const best = new Map<number, number>();
    for (const { from, to, gap } of this.edges) {
      const key = from * n + to;
      best.set(key, Math.max(best.get(key) ?? Number.NEGATIVE_INFINITY, gap));
    }
    for (const [key, gap] of best) {
      const from = Math.floor(key / n);
      const to = key % n;
      const back = best.get(to * n + from);
      if (back !== undefined && Math.abs(back + gap) < 1e-9) group[find(from)] = find(to);
    }
    // What is fixed takes along everything that is tied to it.
    for (const [name, value] of fixed) {
      const i = this.index.get(name);
      if (i === undefined) continue;
      const shift = value - y[i];
      for (let j = 0; j < n; j++) if (find(j) === find(i)) y[j] += shift;
    }
    const held = new Set([...fixed.keys()].map((name) => find(this.index.get(name) ?? 0)));
    const members = new Map<number, number[]>();
    for (let i = 0; i < n; i++) members.set(find(i), [...(members.get(find(i)) ?? []), i]);
    const root = group.map((_, i) => find(i));
    const outward = new Map<number, typeof this.edges>();
    for (const edge of this.edges) {
      const f = find(edge.from);
      const t = find(edge.to);
      if (f === t) continue;
      for (const g of [f, t]) {
        const list = outward.get(g);
        if (list) list.push(edge);
        else outward.set(g, [edge]);
      }
    }
    const order = [...members.keys()].sort((a, b) => y[a] - y[b] || a - b);
    for (let sweep = 0; sweep < sweeps; sweep++) {
      for (const g of sweep % 2 === 0 ? order : [...order].reverse()) {
        if (held.has(g)) continue;
        let low = Number.NEGATIVE_INFINITY;
        let high = Number.POSITIVE_INFINITY;
        let pull = 0;
        let stiffness = 0;
        for (const { from, to, gap, spring } of outward.get(g) ?? []) {
          const move = y[to] - y[from] - gap; // slack of this constraint
          if (root[to] === g) {
            low = Math.max(low, -move);
            pull -= spring * move;
          } else {
            high = Math.min(high, move);
            pull += spring * move;
          }
          stiffness += spring;
        }
        if (stiffness === 0 || low > high) continue;
        const shift = Math.min(high, Math.max(low, pull / stiffness));
        for (const i of members.get(g) ?? []) y[i] += shift;
      }
    }
    return new Map(this.names.map((name, i) => [name, y[i]]));
  }
}
