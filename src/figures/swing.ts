/** Output against the generator's electromotive force, both ends dimensioned, each with its cause. */
import type { CauseEvent, SwingAnswer, SwingLimit } from '../answers/types.ts';
import { blamed } from '../words/causes.ts';
import { listed } from '../words/grammar.ts';
import { say, saySize } from '../words/numbers.ts';
import { extent, type Line, type Mark, type Pattern, type Scene, widened } from './scene.ts';

/** How the sheet calls what the answer is about. */
export interface Names {
  /** The output node, default "output". */
  output?: string;
}

const PATTERN: Readonly<Record<CauseEvent, Pattern>> = {
  'cuts-off': 'off',
  fades: 'off',
  'both-off': 'off',
  'clipped-upstream': 'off',
  holds: 'off',
  jumps: 'breakdown',
  'turns-on': 'saturated',
  saturates: 'saturated',
  'breaks-down': 'breakdown',
  reverses: 'breakdown',
};

const STATE: Readonly<Record<CauseEvent, string>> = {
  'cuts-off': 'off',
  fades: 'fades',
  'both-off': 'both off',
  'clipped-upstream': 'clipped',
  holds: 'holds',
  jumps: 'jumps',
  'turns-on': 'conducts',
  saturates: 'saturated',
  'breaks-down': 'breaks down',
  reverses: 'reversed',
};

/** A room below this part of the other one is the one that falls short. */
const SHORT = 0.6;

export function patternOf(event: CauseEvent): Pattern {
  return PATTERN[event];
}

/** The drive at which the curve passes the quiescent output, nearest to the middle of what conducts. */
function restDrive(answer: SwingAnswer): number | null {
  const { drive, output } = answer.curve;
  if (answer.deadZone !== null) return (answer.deadZone.from + answer.deadZone.to) / 2;
  for (let k = 1; k < drive.length; k++) {
    const a = output[k - 1] - answer.quiescentOutput;
    const b = output[k] - answer.quiescentOutput;
    if (a === 0) return drive[k - 1];
    if (a * b <= 0) return drive[k - 1] + ((drive[k] - drive[k - 1]) * a) / (a - b);
  }
  return null;
}

function roomLines(name: string, limit: SwingLimit, short: boolean): Line[] {
  return [[{ text: name, bold: true }], [{ text: saySize(limit.room, 'V'), bold: true, tone: short ? 'lim' : 'volt' }]];
}

/** The stretch of drive beyond a limit, on whichever side of rest its drive lies. */
function beyond(limit: SwingLimit, rest: number, ends: readonly [number, number]): Mark {
  const who = listed(blamed(limit.cause));
  const label: Line = [
    {
      text: `${who === '' ? '' : `${who} `}${STATE[limit.cause.event]}`,
      tone: PATTERN[limit.cause.event] === 'saturated' ? 'ink2' : 'lim',
    },
  ];
  const [from, to] = limit.drive < rest ? [ends[0], limit.drive] : [limit.drive, ends[1]];
  return { kind: 'stretch', from, to, pattern: PATTERN[limit.cause.event], label, bracket: false, part: limit.cause.part ?? '' };
}

/** The scene of a swing answer. */
export function swingScene(answer: SwingAnswer, names: Names = {}): Scene {
  const output = names.output ?? 'output';
  const { curve, high, low } = answer;
  const xEnds = widened(extent(curve.drive) ?? [0, 1], 1e-6);
  const yEnds = widened(extent(curve.output, [answer.quiescentOutput]) ?? [0, 1], 1e-6);
  const rest = restDrive(answer);
  const marks: Mark[] = [];
  for (const limit of [low, high]) {
    if (limit !== null && rest !== null) marks.push(beyond(limit, rest, xEnds));
  }
  if (answer.deadZone !== null) {
    marks.push({
      kind: 'stretch',
      from: answer.deadZone.from,
      to: answer.deadZone.to,
      pattern: 'off',
      label: [{ text: 'dead zone', tone: 'lim' }],
      bracket: false,
      part: '',
    });
  }
  if (yEnds[0] <= 0 && yEnds[1] >= 0) marks.push({ kind: 'guide', along: 'x', at: 0, look: 'zero' });
  marks.push({ kind: 'trace', x: curve.drive, y: curve.output, look: 'volt' });

  const short = high === null || low === null ? null : high.room < SHORT * low.room ? 'high' : low.room < SHORT * high.room ? 'low' : null;
  const restEnd = rest ?? xEnds[0];
  if (high !== null) {
    marks.push({
      kind: 'dimension',
      from: answer.quiescentOutput,
      to: high.volts,
      lines: roomLines('headroom', high, short === 'high'),
      tone: short === 'high' ? 'lim' : 'plain',
      at: 'right',
      extendFrom: [restEnd, high.drive],
    });
  }
  if (low !== null) {
    marks.push({
      kind: 'dimension',
      from: low.volts,
      to: answer.quiescentOutput,
      lines: roomLines('footroom', low, short === 'low'),
      tone: short === 'low' ? 'lim' : 'plain',
      at: 'right',
      extendFrom: [low.drive, restEnd],
    });
  }
  if (rest !== null) marks.push({ kind: 'point', x: rest, y: answer.quiescentOutput, look: 'ring', label: [{ text: 'rest' }] });
  for (const limit of [high, low]) {
    if (limit?.rating === undefined) continue;
    marks.push({
      kind: 'point',
      x: limit.rating.drive,
      y: limit.rating.volts,
      look: 'triangle',
      label: [{ text: `${limit.rating.part} at its rating` }],
    });
  }
  const said = [
    high === null ? 'No upper limit found' : `headroom ${saySize(high.room, 'V')}, to ${say(high.volts, 'V')}`,
    low === null ? 'no lower limit found' : `footroom ${saySize(low.room, 'V')}, to ${say(low.volts, 'V')}`,
  ];
  return {
    name: 'swing',
    title: `${output} against the generator's electromotive force`,
    description: `${said.join('; ')}.`,
    columns: [
      [
        {
          x: { name: 'generator’s electromotive force', unit: 'V', from: xEnds[0], to: xEnds[1], scale: 'linear' },
          y: { name: output, unit: 'V', from: yEnds[0], to: yEnds[1], scale: 'linear' },
          height: 222,
          marks,
          showX: true,
        },
      ],
    ],
    notes: [
      answer.held.length > 0
        ? 'Output against drive, capacitors held. The slope has halved at each mark.'
        : 'Output against drive. The slope has halved at each mark.',
    ],
  };
}
