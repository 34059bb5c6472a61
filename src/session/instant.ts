/** What the stage does at one instant of the settled period, or at rest: the figures that stand on the drawing. */
import type { QuiescentAnswer, Region, Stretch, WaveformAnswer } from '../answers/types.ts';

/** Currents of one part, A: two-terminal parts from their first terminal, transistors by terminal, positive when conducting forwards. */
export type PartCurrents = { along: number } | { collector: number; base: number; emitter: number };

export interface Moment {
  /** Seconds from the start of the period; null at rest. */
  time: number | null;
  /** Volts of every node. */
  nodes: Record<string, number>;
  currents: Record<string, PartCurrents>;
  /** State of every transistor and diode. */
  states: Record<string, Region>;
  /** The stretches that hold at this instant. */
  stretches: Stretch[];
}

/** The stage at rest. */
export function momentAtRest(answer: QuiescentAnswer): Moment {
  const moment: Moment = { time: null, nodes: answer.nodes, currents: {}, states: {}, stretches: [] };
  for (const [name, figures] of Object.entries(answer.parts)) {
    if ('collectorCurrent' in figures) {
      moment.currents[name] = { collector: figures.collectorCurrent, base: figures.baseCurrent, emitter: figures.emitterCurrent };
      moment.states[name] = figures.region;
    } else {
      moment.currents[name] = { along: figures.current };
      if (figures.region !== undefined) moment.states[name] = figures.region;
    }
  }
  return moment;
}

/** True where an instant of the period lies in a stretch, which may run over the period's end. */
export function holdsAt(stretch: { from: number; to: number }, time: number, period: number): boolean {
  return (time >= stretch.from && time <= stretch.to) || (time + period >= stretch.from && time + period <= stretch.to);
}

/**
 * The stage at one sample of the settled period. Devices in no stretch are active, except those that rest off
 * (`rest`), which conduct only where `turnedOn` says so.
 * @param sample index into the answer's samples
 */
export function momentAt(answer: WaveformAnswer, sample: number, rest: QuiescentAnswer | undefined): Moment {
  const time = answer.time[sample];
  const period = (answer.settled ? answer.period : answer.duration) ?? Number.POSITIVE_INFINITY;
  const moment: Moment = { time, nodes: {}, currents: {}, states: {}, stretches: [] };
  for (const [node, volts] of Object.entries(answer.nodes)) moment.nodes[node] = volts[sample];
  for (const [part, currents] of Object.entries(answer.currents ?? {})) {
    moment.currents[part] = Array.isArray(currents)
      ? { along: currents[sample] }
      : { collector: currents.collector[sample], base: currents.base[sample], emitter: currents.emitter[sample] };
  }
  for (const [part, figures] of Object.entries(rest?.parts ?? {})) {
    if (!('region' in figures) || figures.region === undefined) continue;
    const restsOff = figures.region === 'off';
    const on = answer.turnedOn.some((turn) => turn.part === part && holdsAt(turn, time, period));
    moment.states[part] = restsOff && !on ? 'off' : 'active';
  }
  for (const stretch of answer.stretches) {
    if (!holdsAt(stretch, time, period)) continue;
    moment.stretches.push(stretch);
    moment.states[stretch.part] = stretch.state;
  }
  return moment;
}

/** Largest current of any branch over the period, A; 0 where none is known. */
export function largestCurrent(waveform: WaveformAnswer | undefined, rest: QuiescentAnswer | undefined): number {
  let largest = 0;
  const take = (value: number): void => {
    if (Math.abs(value) > largest) largest = Math.abs(value);
  };
  for (const currents of Object.values(waveform?.currents ?? {})) {
    if (Array.isArray(currents)) currents.forEach(take);
    else {
      currents.collector.forEach(take);
      currents.emitter.forEach(take);
    }
  }
  for (const figures of Object.values(rest?.parts ?? {})) take('collectorCurrent' in figures ? figures.emitterCurrent : figures.current);
  return largest;
}
