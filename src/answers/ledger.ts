/** The ledger of an answer: the rules of thumb that fit the stage, beside the answer's own figures. */

import type { RestFacts } from '../explain/ledger/facts.ts';
import { quiescentLedger } from '../explain/ledger/quiescent.ts';
import { rolesOf } from '../explain/roles.ts';
import { SignalGraph } from '../explain/roles-graph.ts';
import type { Stage } from '../solve/stage.ts';
import { partFigures } from './quiescent.ts';
import type { Answer, LedgerEntry, NoAnswer } from './types.ts';

/** What the rules stand on, from a stage that stands at rest. */
export function restFacts(stage: Stage): RestFacts {
  const { sheet, network, x } = stage;
  const figures = partFigures(stage);
  return {
    sheet,
    graph: new SignalGraph(sheet),
    roles: rolesOf(sheet),
    nodes: Object.fromEntries(network.nodes.slice(0, network.named).map((name, i) => [name, x[i]])),
    transistors: Object.fromEntries(Object.entries(figures).flatMap(([name, f]) => ('collectorCurrent' in f ? [[name, f]] : []))),
    voltsPerKelvin: {},
  };
}

/** The answer with its ledger. */
export function withLedger(answer: Answer | NoAnswer, facts: RestFacts): Answer | NoAnswer {
  return 'failure' in answer ? answer : { ...answer, ledger: ledgerOf(answer, facts) };
}

function ledgerOf(answer: Answer, facts: RestFacts): LedgerEntry[] {
  switch (answer.question) {
    case 'quiescent':
      return quiescentLedger(facts);
    default:
      return [];
  }
}
