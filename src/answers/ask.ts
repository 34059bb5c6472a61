/** One question about one sheet, one answer: the door to the engine for command line, page and library. */
import { connectedLoad } from '../circuit/network.ts';
import { checkTopology } from '../circuit/topology.ts';
import type { Sheet } from '../sheet/types.ts';
import { RunsAway } from '../solve/heat.ts';
import { NoSolution, openStage, type Stage } from '../solve/stage.ts';
import { noAnswer } from './common.ts';
import { impedanceAnswer } from './impedance.ts';
import { restFacts, withLedger } from './ledger.ts';
import { quiescentAnswer } from './quiescent.ts';
import { swingAnswer } from './swing.ts';
import type { Answer, AskOptions, NoAnswer, Question } from './types.ts';
import { Warm } from './warm.ts';
import { waveformAnswer } from './waveform.ts';

/**
 * Answers a question about a sound sheet. Never throws for what a stage does: where there is no answer, an object with
 * `failure` says why. Sentences are added by `speak` of the words layer. With `warm` a brief answer starts from the one
 * before it.
 */
export function ask(question: Question, sheet: Sheet, options: AskOptions = {}, warm = new Warm()): Answer | NoAnswer {
  const findings = checkTopology(sheet, connectedLoad(sheet)?.name ?? null);
  const nodes = findings.flatMap((finding) => (finding.code === 'floating-node' ? finding.nodes : []));
  if (nodes.length > 0) return noAnswer(question, sheet, { kind: 'floats', nodes });
  const loop = findings.find(({ code }) => code === 'source-loop');
  if (loop !== undefined) return noAnswer(question, sheet, { kind: 'loops', things: loop.parts, nodes: loop.nodes });
  try {
    return answer(question, sheet, options, warm);
  } catch (e) {
    if (e instanceof RunsAway) return noAnswer(question, sheet, { kind: 'runs-away', parts: e.parts });
    if (e instanceof NoSolution) return noAnswer(question, sheet, { kind: 'no-resting-point', starts: 1, tried: [] });
    throw e;
  }
}

function answer(question: Question, sheet: Sheet, options: AskOptions, warm: Warm): Answer | NoAnswer {
  const isothermal = options.isothermal ?? false;
  if (options.brief) {
    const said = about(question, warm.open(sheet, isothermal), { ...options, search: false, help: false }, isothermal, warm);
    return 'failure' in said ? said : { ...said, brief: true };
  }
  const stage = openStage(sheet, { isothermal });
  // Taken first: an answer may move the stage's kernel away from rest.
  const facts = restFacts(stage);
  return withLedger(about(question, stage, options, isothermal), stage, facts);
}

function about(question: Question, stage: Stage, options: AskOptions, isothermal: boolean, warm?: Warm): Answer | NoAnswer {
  switch (question) {
    case 'quiescent':
      return quiescentAnswer(stage, isothermal, options.search ?? true);
    case 'impedance':
      return impedanceAnswer(stage, options, isothermal);
    case 'swing':
      return swingAnswer(stage, isothermal, options);
    case 'waveform':
      return waveformAnswer(stage, options, isothermal, warm);
  }
}
