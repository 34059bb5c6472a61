/**
 * The cause of an odd stretch of a settled waveform: the test of the limits, at the capacitor voltages of the instant
 * (`physics.md`, Cause of a limit). Who let go, who asked for it, what then sets the level, and how fast that sinks.
 */

import type { Network } from '../circuit/network.ts';
import { exp } from '../numerics/elementary.ts';
import { Instants } from '../solve/instants.ts';
import { findLimits, type Limits, traceBoth } from '../solve/limits.ts';
import { type Orbit, orbitAt } from '../solve/orbit.ts';
import { extremesOf } from '../solve/orbit-extremes.ts';
import { decideHeld } from '../solve/reactive.ts';
import type { Stage } from '../solve/stage.ts';
import { Sweep, type SweepPoint } from '../solve/sweep.ts';
import { quiescentTransfer } from '../solve/transfer.ts';
import { changedAt, ends, joined, lifted, openChanged, withCurrent, withoutBreakdown, withSupply } from './changes.ts';
import { type Demand, demandOf, toldDemand } from './demand.ts';
import { blame, sharesOf } from './shares.ts';
import type { StateStretch } from './stretches.ts';
import type { Cause, CauseEvent } from './types.ts';

/** Nothing is blamed where the output stays this close to the small-signal response, as a share of its peak to peak. */
const HARMLESS = 0.02;
const UNHURT = 0.9;
/** A held level is proven by its droop when what is predicted and what is seen agree to this share. */
const DROOP_AGREES = 0.1;
/** V by which a supply is raised for relief. */
const RAISED = 1;
/** `rest` must agree within this share of the distance between the limits. */
const AGREES = 0.02;
/** Instants a period at which the slope is looked at. */
const GRID = 96;
/** Samples of a stretch at which the output is held against the small-signal response. */
const COMPARED = 48;
/** A slope below this share of the generator's motion is none at all: something holds the output. */
const HELD_SLOPE = 1e-3;

export interface StretchContext {
  stage: Stage;
  orbit: Orbit;
  /** The small-signal response to the same drive. */
  linear: Orbit;
  period: number;
  emf: (t: number) => number;
  temperatures: Float64Array;
  stretches: StateStretch[];
  /** True: the evidence is measured by the supplies' span, the limits are not traced for it. */
  brief: boolean;
}

export class StretchCauses {
  private readonly context: StretchContext;
  private readonly instants: Instants;
  private readonly restSweep: Sweep | null;
  private readonly rest: SweepPoint | null;
  private readonly limits: Limits | null;
  private readonly distance: number;
  private readonly grid: (SweepPoint | null)[] = [];
  private readonly scale: number;
  private readonly offset: number;
  private readonly reference: number;

  /** `reach` is the drive range of the limits, V; `span` the supplies' span, V. */
  constructor(context: StretchContext, reach: number, span: number) {
    this.context = context;
    const { stage, orbit, period, emf, temperatures } = context;
    stage.kernel.setTemperatures(stage.temperatures);
    const groups = decideHeld(stage, stage.sheet.drive?.frequency);
    const transfer = quiescentTransfer(stage, groups);
    this.restSweep = transfer && new Sweep(transfer);
    this.rest = transfer && (this.restSweep as Sweep).at(stage.sheet.drive?.offset ?? 0, transfer.x);
    this.limits = context.brief
      ? null
      : this.restSweep && this.rest && findLimits(this.restSweep, traceBoth(this.restSweep, this.rest, reach));
    const { up, down } = this.limits ?? {};
    this.distance = up && down ? Math.abs(up.at.output - down.at.output) : span;
    this.instants = new Instants(stage, groups, orbit, emf, temperatures);
    for (let k = 0; k < GRID; k++) this.grid.push(this.instants.at((k * period) / GRID));
    const out = stage.network.outputNode;
    const e = extremesOf(orbit, out);
    this.scale = e.maximum - e.minimum;
    this.offset = e.mean - extremesOf(context.linear, out).mean;
    const steepest = this.grid.reduce((m, p) => (p && Math.abs(p.slope) > Math.abs(m) ? p.slope : m), 0);
    const quiescent = this.rest?.slope ?? 0;
    this.reference = Math.abs(quiescent) < 0.01 * Math.abs(steepest) ? steepest : quiescent;
  }

  private node(orbit: Orbit, t: number, i: number): number {
    const x = new Float64Array(orbit.n);
    orbitAt(orbit, t % this.context.period, this.context.stage.network.nodes.length, x);
    return x[i];
  }

  /** Difference between the output and the small-signal response at t, means apart. */
  private departure(t: number): number {
    const out = this.context.stage.network.outputNode;
    return this.node(this.context.orbit, t, out) - this.node(this.context.linear, t, out) - this.offset;
  }

  /** The cause of one stretch; null where nothing is to blame. `conducts` tells a part that is off at rest and conducts here. */
  causeOf(stretch: { device: number; state: StateStretch['state']; from: number; to: number }, conducts = false): Cause | null {
    const { stage, period } = this.context;
    if (stage.network.outputNode < 0 || !this.rest || !this.restSweep) return null;
    let worst = stretch.from;
    let most = 0;
    for (let k = 0; k <= COMPARED; k++) {
      const t = stretch.from + ((stretch.to - stretch.from) * k) / COMPARED;
      const d = Math.abs(this.departure(t));
      if (d > most) {
        most = d;
        worst = t;
      }
    }
    if (most <= HARMLESS * this.scale) return null;
    if (Math.abs(this.reference) < HELD_SLOPE) return this.holding(stretch);
    const middle = (0.5 * (stretch.from + stretch.to)) % period;
    const here = this.explain(stretch, middle, worst % period, conducts);
    if (here || stretch.state !== 'off') return here;
    return this.bothOff(stretch) ?? this.heldAgainst(stretch);
  }

  /** The test at one instant; null where the slope there has not fallen, or nobody carries the fall. */
  private explain(
    stretch: { device: number; state: StateStretch['state']; from: number; to: number },
    middle: number,
    worst: number,
    conducts: boolean,
  ): Cause | null {
    const { stage, period, temperatures } = this.context;
    const ambient = stage.sheet.ambient;
    const limit = this.instants.at(middle);
    if (!limit || limit.slope / this.reference >= UNHURT) return null;
    const before = this.lastUnhurt(middle);
    const limitAgain = this.instants.at(middle);
    if (!limitAgain) return null;
    const sweep = this.instants.sweep;
    const shares = sharesOf(sweep.transfer, this.reference, before, limitAgain);
    const named = blame(shares);
    const { network } = sweep.transfer;
    const devices = [...network.transistors, ...network.diodes];
    const culprit = devices.findIndex((d) => d.part === named.part);
    if (culprit < 0) return null;
    const notable = Object.fromEntries(Object.entries(shares).filter(([, s]) => Math.abs(s) >= 0.01));
    const own = culprit === stretch.device;
    if (conducts && !own) return null;
    const event = own ? eventOf(stretch.state, conducts) : this.stateOf(culprit, middle) ? 'clipped-upstream' : 'fades';
    const entered = own ? stretch.from % period : null;
    const [a, b] = ends(network, culprit);
    const v = (p: SweepPoint, i: number): number => (i < 0 ? 0 : p.x[i]);
    const change = event === 'cuts-off' ? 'lifted' : event === 'breaks-down' ? 'without-breakdown' : 'joined';
    const changedOutput = (t: number): { observed: number; changed: number; drive: number } | null => {
      const p = this.instants.at(t);
      if (!p) return null;
      const edit =
        change === 'lifted'
          ? lifted(network, culprit)
          : change === 'joined'
            ? joined(network, culprit, v(p, a) - v(p, b))
            : withoutBreakdown(network, culprit);
      const there = changedAt(openChanged(sweep.transfer, edit, temperatures, ambient), p.drive, p);
      return there && { observed: p.output, changed: there.output, drive: p.drive };
    };
    const atMiddle = own ? changedOutput(middle) : null;
    const atEntry = entered === null ? null : changedOutput(entered);
    const demand = own && event === 'cuts-off' ? this.demandAt(culprit, worst) : null;
    const relief = own ? this.reliefAt(middle, culprit, event, demand) : null;
    const agrees = atEntry !== null && Math.abs(atEntry.observed - atEntry.changed) <= AGREES * this.distance;
    const alone = named.second === null && (shares[devices[culprit].part] ?? 0) >= 0.5;
    const relieved = relief !== null && Math.abs(relief.volts - limit.output) > AGREES * this.distance;
    const proven = own && alone && agrees && relieved;
    return {
      part: devices[culprit].part,
      ...(named.second ? { second: named.second } : {}),
      event,
      proven,
      ...(proven ? {} : { missing: !alone ? 'shared' : !atEntry ? 'no-state' : !agrees ? 'disagrees' : 'no-relief' }),
      shares: notable,
      demand: toldDemand(demand),
      evidence: own
        ? {
            change,
            part: devices[culprit].part,
            volts: atMiddle?.changed ?? null,
            rest: atEntry && { drive: atEntry.drive, output: atEntry.observed, changed: atEntry.changed },
            relief,
          }
        : null,
      sentence: '',
      level: atMiddle?.changed ?? limit.output,
      ...(event === 'cuts-off' ? droopIn(this.droopOf(this.instants, culprit, stretch, middle)) : {}),
    };
  }

  /** Whether a device is in some other state than active at an instant. */
  private stateOf(device: number, t: number): boolean {
    const { period } = this.context;
    return this.context.stretches.some(
      (s) => s.device === device && ((t >= s.from && t <= s.to) || (t + period >= s.from && t + period <= s.to)),
    );
  }

  /** The last grid instant before `middle` (around the period) with 0.9 of the reference slope; the quiescent point if there is none. */
  private lastUnhurt(middle: number): SweepPoint {
    const { period } = this.context;
    const start = Math.floor((middle / period) * GRID);
    for (let k = 0; k < GRID; k++) {
      const p = this.grid[(start - k + GRID) % GRID];
      if (p && p.slope / this.reference >= UNHURT) return p;
    }
    return this.rest as SweepPoint;
  }

  private demandAt(device: number, t: number): Demand | null {
    const { stage, emf } = this.context;
    const rest = this.rest as SweepPoint;
    return demandOf(this.restSweep as Sweep, device, rest, emf(t), rest, stage.temperatures, stage.sheet.ambient);
  }

  /** Output at an instant with the shortage relieved: the missing current supplied, the culprit taken away, or a supply raised. */
  private reliefAt(t: number, device: number, event: CauseEvent, demand: Demand | null): { change: string; volts: number } | null {
    const { stage, temperatures } = this.context;
    const p = this.instants.at(t);
    if (!p) return null;
    const { transfer } = this.instants.sweep;
    const { network } = transfer;
    const outputWith = (edit: Network): number | null =>
      changedAt(openChanged(transfer, edit, temperatures, stage.sheet.ambient), p.drive, p)?.output ?? null;
    const one = (change: string, edit: Network): { change: string; volts: number } | null => {
      const volts = outputWith(edit);
      return volts === null ? null : { change, volts };
    };
    if (event === 'cuts-off') return demand && one('current-supplied', withCurrent(network, demand.node, demand.shortage));
    if (event === 'turns-on') return one('lifted', lifted(network, device));
    if (event === 'breaks-down') return one('without-breakdown', withoutBreakdown(network, device));
    let best: { change: string; volts: number } | null = null;
    network.branches.forEach((b, branch) => {
      if (b.kind !== 'supply') return;
      const raised = one(`${b.part}-raised`, withSupply(network, branch, b.emf < 0 ? -RAISED : RAISED));
      if (raised && (!best || Math.abs(raised.volts - p.output) > Math.abs(best.volts - p.output))) best = raised;
    });
    return best;
  }

  /** How the level sinks while the device is off: by the held capacitor that carries most of it. */
  private droopOf(
    instants: Instants,
    device: number,
    stretch: { from: number; to: number },
    middle: number,
  ): { part: string; level: number; droop: NonNullable<Cause['droop']> } | null {
    const { stage, temperatures, orbit } = this.context;
    const p = instants.at(middle);
    if (!p) return null;
    const { transfer } = instants.sweep;
    const open = openChanged(transfer, lifted(transfer.network, device), temperatures, stage.sheet.ambient);
    const there = changedAt(open, p.drive, p);
    if (!there) return null;
    const { kernel, network, solver } = open.transfer;
    kernel.evaluate(there.x, null, false);
    solver.lu.factor(kernel.g);
    const nodes = network.nodes.length;
    const unit = new Float64Array(kernel.n);
    let best: { part: string; tau: number; rate: number } | null = null;
    for (const [k, b] of network.branches.entries()) {
      if (b.capacitor === undefined) continue;
      unit.fill(0);
      unit[nodes + k] = 1;
      solver.lu.solve(unit, unit);
      // One volt more on the capacitor drives this current through it and moves the output by that much.
      const conductance = -unit[nodes + k];
      const capacitance = stage.network.capacitors[b.capacitor].capacitance;
      const rate = (unit[network.outputNode] * there.x[nodes + k]) / capacitance;
      if (conductance > 0 && (best === null || Math.abs(rate) > Math.abs(best.rate)))
        best = { part: b.part, tau: capacitance / conductance, rate };
    }
    if (!best) return null;
    const { part, tau, rate } = best;
    const length = stretch.to - stretch.from;
    const out = stage.network.outputNode;
    // The rate is the middle's: the exponential is centred there.
    const predicted = rate * tau * (exp(length / (2 * tau)) - exp(-length / (2 * tau)));
    const observed = this.node(orbit, stretch.to, out) - this.node(orbit, stretch.from, out);
    return { part, level: there.output, droop: { timeConstant: tau, predicted, observed } };
  }

  /**
   * A device that the instantaneous transfer would have conducting is off: a capacitor too small for the mid-band, a
   * cable's say, holds its node while the drive goes away from under it.
   */
  private heldAgainst(stretch: { device: number; state: StateStretch['state']; from: number; to: number }): Cause | null {
    const { stage, period, orbit, emf, temperatures } = this.context;
    const groups = this.instants.sweep.transfer.held;
    if (groups.every((g) => g.held)) return null;
    const all = new Instants(
      stage,
      groups.map((g) => ({ ...g, held: true })),
      orbit,
      emf,
      temperatures,
    );
    const middle = (0.5 * (stretch.from + stretch.to)) % period;
    const p = all.at(middle);
    if (!p || p.slope / this.reference >= UNHURT) return null;
    const sinks = this.droopOf(all, stretch.device, stretch, middle);
    if (!sinks) return null;
    const { predicted, observed } = sinks.droop;
    return {
      part: sinks.part,
      event: 'holds',
      proven: Math.abs(predicted - observed) <= DROOP_AGREES * Math.abs(observed),
      shares: {},
      demand: null,
      evidence: { change: 'held', part: sinks.part, volts: sinks.level, rest: null, relief: null },
      sentence: '',
      level: sinks.level,
      droop: sinks.droop,
    };
  }

  /** A stretch in which this device and another are off together, and the slope is gone there. */
  private bothOff(stretch: { device: number; state: StateStretch['state']; from: number; to: number }): Cause | null {
    const { period, stretches } = this.context;
    for (const other of stretches) {
      if (other.device === stretch.device || other.state !== 'off') continue;
      for (const shift of [-period, 0, period]) {
        const from = Math.max(stretch.from, other.from + shift);
        const to = Math.min(stretch.to, other.to + shift);
        if (to - from <= 0) continue;
        const cause = this.explain(
          { ...stretch, from, to },
          (0.5 * (from + to) + period) % period,
          (0.5 * (from + to) + period) % period,
          false,
        );
        if (cause?.event !== 'cuts-off') continue;
        const { network } = this.instants.sweep.transfer;
        const names = [...network.transistors, ...network.diodes].map((d) => d.part);
        // Nobody asks the two for a current that one could not give: what shows it is that lifting either changes nothing.
        const { evidence } = cause;
        const rest = evidence?.rest;
        const proven =
          (cause.shares[names[stretch.device]] ?? 0) >= 0.5 &&
          rest != null &&
          Math.abs(rest.output - rest.changed) <= AGREES * this.distance;
        return {
          ...cause,
          part: names[stretch.device],
          second: names[other.device],
          event: 'both-off',
          proven,
          missing: proven ? undefined : cause.missing,
          demand: null,
          evidence: evidence && { ...evidence, relief: null },
        };
      }
    }
    return null;
  }

  /** The output stands on a capacitor: what holds it, and how fast it sinks while the device is off. */
  private holding(stretch: { device: number; state: StateStretch['state']; from: number; to: number }): Cause | null {
    if (stretch.state !== 'off') return null;
    const { stage, period, orbit } = this.context;
    const { network } = this.instants.sweep.transfer;
    const held = network.branches.filter((b) => b.capacitor !== undefined && (b.a === network.outputNode || b.b === network.outputNode));
    if (held.length === 0) return null;
    const part = held[0].part;
    const middle = (0.5 * (stretch.from + stretch.to)) % period;
    const capacitance = held.reduce((sum, b) => sum + stage.network.capacitors[b.capacitor as number].capacitance, 0);
    const p = this.instants.at(middle);
    if (!p) return null;
    // With the capacitors taken away the output's own conductance is what discharges them.
    const branch = network.branches.indexOf(held[0]);
    const current = -p.x[network.nodes.length + branch];
    const level = p.output;
    const length = stretch.to - stretch.from;
    const tau = current !== 0 ? Math.abs((capacitance * level) / current) : Number.POSITIVE_INFINITY;
    const predicted = Number.isFinite(tau)
      ? -Math.sign(level * current) * Math.abs(level) * (exp(length / (2 * tau)) - exp(-length / (2 * tau))) * Math.sign(level)
      : 0;
    const out = stage.network.outputNode;
    const observed = this.node(orbit, stretch.to, out) - this.node(orbit, stretch.from, out);
    return {
      part,
      event: 'holds',
      proven: Math.abs(predicted - observed) <= DROOP_AGREES * Math.abs(observed),
      shares: {},
      demand: null,
      evidence: { change: 'held', part, volts: level, rest: null, relief: null },
      sentence: '',
      level,
      droop: { timeConstant: tau, predicted, observed },
    };
  }
}

function eventOf(state: StateStretch['state'], conducts: boolean): CauseEvent {
  if (conducts) return 'turns-on';
  const events: Record<StateStretch['state'], CauseEvent> = {
    off: 'cuts-off',
    saturated: 'saturates',
    breakdown: 'breaks-down',
    reversed: 'reverses',
    active: 'turns-on',
  };
  return events[state];
}

function droopIn(sinks: { droop: NonNullable<Cause['droop']> } | null): Pick<Cause, 'droop'> {
  return sinks ? { droop: sinks.droop } : {};
}
