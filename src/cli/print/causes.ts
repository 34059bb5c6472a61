/** Causes beside their figures: each limit and each odd stretch, what happened and how it is known. */
import type { Answer, Cause } from '../../answers/types.ts';
import { inked } from '../../figures/colour.ts';
import { stretchLabel } from '../../words/waveform.ts';
import type { PrintSettings } from './figures.ts';
import { hanging, wrap } from './text.ts';

interface Told {
  head: string;
  cause: Cause | null;
}

function toldOf(answer: Answer): Told[] {
  if (answer.question === 'swing') {
    const told: Told[] = [];
    if (answer.low !== null) told.push({ head: 'down', cause: answer.low.cause });
    if (answer.high !== null) told.push({ head: 'up', cause: answer.high.cause });
    return told;
  }
  if (answer.question === 'waveform') return answer.stretches.map((stretch) => ({ head: stretchLabel(stretch), cause: stretch.cause }));
  return [];
}

/** What would help, once for each way that it is known for. */
function helpsOf(answer: Answer): string[] {
  const helps = answer.question === 'swing' ? [answer.low?.help, answer.high?.help] : answer.question === 'waveform' ? [answer.help] : [];
  return helps.flatMap((help) => (help ? [help.sentence] : []));
}

const SHORT_HEAD = 8;
/** Of stretches that one sentence tells, this many are named: a run from switch-on can have hundreds. */
const MOST_HEADS = 8;
const UNBLAMED = 'The output does not show it.';

/** The causes of an answer as lines; stretches of one wording share it. */
export function causeLines(answer: Answer, { width, colour }: PrintSettings): string[] {
  const lines: string[] = [];
  const said = new Map<string, string[]>();
  for (const { head, cause } of toldOf(answer)) {
    const text = cause === null ? UNBLAMED : cause.sentence;
    said.set(text, [...(said.get(text) ?? []), head]);
  }
  for (const [text, heads] of said) {
    if (heads.every((head) => head.length <= SHORT_HEAD)) {
      lines.push(...hanging(inked(heads.join(', '), 'bold', colour), text, Math.max(SHORT_HEAD, heads.join(', ').length + 2), width));
    } else {
      const named = heads.slice(0, MOST_HEADS).map((head) => head.replace(/ /g, '\u00a0'));
      if (heads.length > MOST_HEADS) named.push(`and ${heads.length - MOST_HEADS} more`);
      lines.push(...wrap(named.join('; '), width).map((line) => inked(line, 'bold', colour)));
      lines.push(...hanging('', text, 2, width));
    }
  }
  for (const text of helpsOf(answer)) lines.push(...hanging(inked('help', 'bold', colour), text, SHORT_HEAD, width));
  return lines;
}
