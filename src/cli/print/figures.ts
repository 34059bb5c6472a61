/** What each question's answer has in figures, as small tables. */
import type {
  Answer,
  ImpedanceAnswer,
  QuiescentAnswer,
  SwingAnswer,
  SwingLimit,
  TransistorFigures,
  TwoTerminalFigures,
  WaveformAnswer,
} from '../../answers/types.ts';
import { say, saySize } from '../../words/numbers.ts';
import { isTransistor } from '../../words/quiescent.ts';
import { stateWord } from '../../words/waveform.ts';
import { type Cell, figure, table, word } from './table.ts';
import { hanging, wrap } from './text.ts';

export interface PrintSettings {
  width: number;
  colour: boolean;
}

const NONE: Cell = { digits: '–', unit: '' };

/** A voltage named so that it is positive in a conducting device: V_BE of an NPN, V_EB of a PNP. */
function named(volts: number, from: string, to: string, mirrored: boolean): Cell {
  return mirrored ? figure(-volts, 'V', { name: `V_${to}${from}` }) : figure(volts, 'V', { name: `V_${from}${to}` });
}

/** True of a PNP at work, whose node voltages are mirrored. */
function isMirrored(q: TransistorFigures): boolean {
  return q.baseEmitterVoltage < 0 && q.collectorEmitterVoltage < 0;
}

function transistorTable(all: [string, TransistorFigures][], { width, colour }: PrintSettings): string[] {
  const q = all.map(([, figures]) => figures);
  return table(
    [
      { cells: all.map(([name]) => word(name, 'bold')) },
      { cells: q.map((f) => word(stateWord(f.region), f.region === 'active' ? 'plain' : 'warn')) },
      { cells: q.map((f) => figure(f.collectorCurrent, 'A', { name: 'I_C', ink: 'amp' })) },
      { cells: q.map((f) => named(f.collectorEmitterVoltage, 'C', 'E', isMirrored(f))) },
      { cells: q.map((f) => named(f.baseEmitterVoltage, 'B', 'E', isMirrored(f))), spare: 1 },
      { cells: q.map((f) => figure(f.dissipation, 'W')), spare: 2 },
      { cells: q.map((f) => (f.beta === null ? NONE : figure(f.beta, 'number', { name: 'beta' }))), spare: 3 },
      { cells: q.map((f) => (f.emitterResistance === null ? NONE : figure(f.emitterResistance, 'Ω', { name: 'r_e' }))), spare: 4 },
      { cells: q.map((f) => figure(f.junctionTemperature, '°C', { name: 'T_J' })), spare: 5 },
    ],
    width,
    colour,
  );
}

function twoTerminalTable(all: [string, TwoTerminalFigures][], { width, colour }: PrintSettings): string[] {
  return table(
    [
      { cells: all.map(([name]) => word(name, 'bold')) },
      { cells: all.map(([, f]) => figure(f.voltage, 'V')) },
      { cells: all.map(([, f]) => figure(f.current, 'A', { ink: 'amp' })) },
      { cells: all.map(([, f]) => figure(f.dissipation, 'W')), spare: 1 },
      { cells: all.map(([, f]) => word(f.region === undefined || f.region === 'active' ? '' : stateWord(f.region), 'warn')), spare: 2 },
    ],
    width,
    colour,
  );
}

const BETWEEN = '   ';

/** Short items, as many to a line as fit, behind an optional head: `base 6.33 V   out 5.65 V`. */
function flowing(items: readonly string[], width: number, head = ''): string[] {
  const margin = head === '' ? '' : `${head}${BETWEEN}`;
  const lines: string[] = [];
  let line = '';
  for (const item of items.map((one) => one.replace(/\u00a0/g, ' '))) {
    if (line !== '' && margin.length + line.length + BETWEEN.length + item.length > width) {
      lines.push(line);
      line = '';
    }
    line += (line === '' ? '' : BETWEEN) + item;
  }
  if (line !== '') lines.push(line);
  return lines.map((one, k) => (k === 0 ? margin : ' '.repeat(margin.length)) + one);
}

function quiescentFigures(answer: QuiescentAnswer, settings: PrintSettings): string[][] {
  const parts = Object.entries(answer.parts);
  const transistors = parts.filter((entry): entry is [string, TransistorFigures] => isTransistor(entry[1]));
  const others = parts.filter((entry): entry is [string, TwoTerminalFigures] => !isTransistor(entry[1]));
  const roles = transistors
    .filter(([, f]) => f.role.sentence !== '')
    .flatMap(([name, f]) => hanging(name, f.role.sentence, 6, settings.width));
  return [
    flowing(
      Object.entries(answer.nodes).map(([node, volts]) => `${node} ${say(volts, 'V')}`),
      settings.width,
    ),
    transistorTable(transistors, settings),
    roles,
    twoTerminalTable(others, settings),
    answer.search === '' ? [] : wrap(answer.search, settings.width),
  ];
}

function swingFigures(answer: SwingAnswer, { width, colour }: PrintSettings): string[][] {
  const limits: (readonly [string, SwingLimit | null])[] = [
    ['up', answer.high],
    ['down', answer.low],
  ];
  const of = (value: (limit: SwingLimit) => number | null): Cell[] =>
    limits.map(([, limit]) => (limit === null ? NONE : figure(value(limit), 'V')));
  const rooms = limits.map(([, limit]): Cell => (limit === null ? NONE : figure(limit.room, 'V', { ink: 'bold' })));
  return [
    table(
      [
        { head: '', cells: limits.map(([way]) => word(way)) },
        { head: 'room', cells: rooms },
        { head: 'limit', cells: of((limit) => limit.volts) },
        { head: 'flat', cells: of((limit) => limit.flat?.volts ?? null), spare: 1 },
        { head: 'drive there', cells: of((limit) => limit.drive), spare: 2 },
      ],
      width,
      colour,
    ),
  ];
}

function impedanceFigures(answer: ImpedanceAnswer, { width, colour }: PrintSettings): string[][] {
  const phasors = [answer.inputImpedance, answer.outputImpedance, answer.gain, answer.overallGain];
  const rows = ['input impedance', 'output impedance', 'gain from the drive node', 'gain from the generator'];
  return [
    table(
      [
        { head: `at ${say(answer.frequency, 'Hz').replace(/\u00a0/g, ' ')}`, cells: rows.map((row) => word(row)) },
        { head: 'size', cells: phasors.map((p, k) => figure(p.magnitude, k < 2 ? 'Ω' : 'number', { ink: 'bold' })) },
        { head: 'phase', cells: phasors.map((p) => figure(p.phase, '°')) },
      ],
      width,
      colour,
    ),
  ];
}

/** Nodes that move less than this part of the liveliest one stand still. */
const STILL = 1e-6;
/** How many harmonics are printed, and from which share of the fundamental on; the JSON has them all. */
const HARMONICS_SHOWN = 6;
const HARMONICS_FROM = 1e-5;

function ordinal(n: number): string {
  return n === 2 ? '2nd' : n === 3 ? '3rd' : `${n}th`;
}

function waveformFigures(answer: WaveformAnswer, { width, colour }: PrintSettings): string[][] {
  const moving = STILL * Math.max(0, ...Object.values(answer.measures).map((m) => m.peakToPeak));
  const measured = Object.entries(answer.measures).filter(([, m]) => m.peakToPeak > moving);
  const column = (head: string, of: (k: number) => number, spare?: number) => ({
    head,
    spare,
    cells: measured.map((_, k) => figure(of(k), 'V')),
  });
  const measures = table(
    [
      { head: 'node', cells: measured.map(([node]) => word(node)) },
      column('peak to peak', (k) => measured[k][1].peakToPeak),
      column('minimum', (k) => measured[k][1].minimum),
      column('maximum', (k) => measured[k][1].maximum),
      column('mean', (k) => measured[k][1].mean, 1),
      column('rms', (k) => measured[k][1].rms, 2),
    ],
    width,
    colour,
  );
  const parts = Object.entries(answer.parts);
  const heat = table(
    [
      { head: 'part', cells: parts.map(([name]) => word(name, 'bold')) },
      { head: 'mean heat', cells: parts.map(([, p]) => figure(p.meanDissipation, 'W')) },
      { head: 'peak heat', cells: parts.map(([, p]) => figure(p.peakDissipation, 'W')) },
      { head: 'peak I_C', cells: parts.map(([, p]) => figure(p.peakCollectorCurrent, 'A', { ink: 'amp' })) },
      { head: 'junction', cells: parts.map(([, p]) => figure(p.junctionTemperature, '°C')), spare: 1 },
    ],
    width,
    colour,
  );
  const { spectrum } = answer;
  const fundamental = spectrum?.fundamental.magnitude;
  const harmonics =
    spectrum === undefined || !fundamental
      ? []
      : spectrum.harmonics
          .slice(0, HARMONICS_SHOWN)
          .flatMap((h, k) => (h >= HARMONICS_FROM * fundamental ? [`${ordinal(k + 2)} ${say(h / fundamental, 'share')}`] : []));
  if (spectrum !== undefined && fundamental && harmonics.length < Math.min(HARMONICS_SHOWN, spectrum.harmonics.length))
    harmonics.push(`${harmonics.length > 0 ? 'others' : 'all'} below ${say(HARMONICS_FROM, 'share')}`);
  const power = [
    // A negative supply at work gives power while its current is negative: the direction is in the verb.
    ...Object.entries(answer.supplies).map(
      ([node, s]) => `${node} ${s.meanPower < 0 ? 'takes' : 'gives'} ${saySize(s.meanCurrent, 'A')}, ${saySize(s.meanPower, 'W')}`,
    ),
    ...(answer.outputPower === null ? [] : [`load gets ${say(answer.outputPower, 'W')}`]),
    ...(answer.efficiency === null ? [] : [`efficiency ${say(answer.efficiency, 'share')}`]),
  ];
  return [measures, flowing(harmonics, width, 'harmonics'), heat, flowing(power, width)];
}

/** The tables of an answer, each a block of lines; empty blocks are to be left out. */
export function figureBlocks(answer: Answer, settings: PrintSettings): string[][] {
  switch (answer.question) {
    case 'quiescent':
      return quiescentFigures(answer, settings);
    case 'swing':
      return swingFigures(answer, settings);
    case 'impedance':
      return impedanceFigures(answer, settings);
    case 'waveform':
      return waveformFigures(answer, settings);
  }
}
