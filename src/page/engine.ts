/** Two workers with the same engine: one for what is in view, one for the rest. */
import type { FromWorker, Port, ToWorker } from '../session/protocol.ts';

function port(): Port {
  const worker = new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' });
  return {
    postMessage: (message: ToWorker) => worker.postMessage(message),
    onMessage: (listener) => {
      worker.onmessage = (event: MessageEvent<FromWorker>) => listener(event.data);
    },
  };
}

export const ports = (): { quick: Port; patient: Port } => ({ quick: port(), patient: port() });
