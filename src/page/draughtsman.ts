/** The drawing's own worker: one request under way, the newest waiting. */
import type { Drawn, DrawRequest } from './draw-worker.ts';

export interface Draughtsman {
  draw(request: DrawRequest): void;
}

export function createDraughtsman(onDrawn: (drawn: Drawn) => void): Draughtsman {
  const worker = new Worker(new URL('./draw-worker.ts', import.meta.url), { type: 'module' });
  let busy = false;
  let waiting: DrawRequest | null = null;
  const send = (request: DrawRequest): void => {
    busy = true;
    worker.postMessage(request);
  };
  const next = (): void => {
    busy = false;
    const request = waiting;
    waiting = null;
    if (request !== null) send(request);
  };
  worker.onmessage = (event: MessageEvent<Drawn>) => {
    onDrawn(event.data);
    next();
  };
  worker.onerror = next; // the last drawing stays; the browser's console has the fault
  return {
    draw(request) {
      if (busy) waiting = request;
      else send(request);
    },
  };
}
