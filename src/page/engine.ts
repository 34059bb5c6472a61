/** Three workers with the same engine: two share what follows the hand, one answers in full when it rests. Each starts when it is first asked. */
import type { FromWorker, Port, ToWorker } from '../session/protocol.ts';

function port(): Port {
  const start = (): Worker => new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' });
  let worker: Worker | null = null;
  let heard: (message: FromWorker) => void = () => undefined;
  const running = (): Worker => {
    if (worker !== null) return worker;
    worker = start();
    worker.onmessage = (event: MessageEvent<FromWorker>) => heard(event.data);
    return worker;
  };
  return {
    postMessage: (message: ToWorker) => running().postMessage(message),
    onMessage: (listener) => {
      heard = listener;
    },
    restart: () => {
      worker?.terminate();
      worker = null;
    },
  };
}

export const ports = (): { quick: Port; patient: Port; leisure: Port } => ({ quick: port(), patient: port(), leisure: port() });
