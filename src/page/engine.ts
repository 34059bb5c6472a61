/** Two workers with the same engine: one for what is in view, one for the rest. */
import type { FromWorker, Port, ToWorker } from '../session/protocol.ts';

function port(): Port {
  const start = (): Worker => new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' });
  let worker = start();
  let heard: (message: FromWorker) => void = () => undefined;
  const listen = (): void => {
    worker.onmessage = (event: MessageEvent<FromWorker>) => heard(event.data);
  };
  return {
    postMessage: (message: ToWorker) => worker.postMessage(message),
    onMessage: (listener) => {
      heard = listener;
      listen();
    },
    restart: () => {
      worker.terminate();
      worker = start();
      listen();
    },
  };
}

export const ports = (): { quick: Port; patient: Port } => ({ quick: port(), patient: port() });
