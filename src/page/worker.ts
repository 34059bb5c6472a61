/** The engine's worker. It knows no document: sheets come in, answers with their sentences go out. */
import { ask } from '../answers/ask.ts';
import { Warm } from '../answers/warm.ts';
import type { ToWorker } from '../session/protocol.ts';
import { createScheduler } from '../session/scheduler.ts';
import { speak, speakFailure } from '../words/speak.ts';

const channel = new MessageChannel();
let awake: (() => void) | null = null;
channel.port1.onmessage = () => awake?.();

/** Carried from one input to the next, for brief answers only. */
const warm = new Warm();

const listen = createScheduler({
  answer: (question, sheet, options) => {
    const answer = ask(question, sheet, options, warm);
    return 'failure' in answer ? speakFailure(answer.failure, answer) : speak(answer, sheet);
  },
  post: (message) => postMessage(message),
  // A message to ourselves stands behind those that already wait, so they are read first.
  breathe: () =>
    new Promise((resolve) => {
      awake = resolve;
      channel.port2.postMessage(null);
    }),
  now: () => performance.now(),
});

addEventListener('message', (event: MessageEvent<ToWorker>) => listen(event.data));
