/** Lays stages out beside the page: a large one takes longer than a frame has. */
import { layOut } from '../drawing/index.ts';
import type { Plan } from '../drawing/plan.ts';
import { type Pinned, pinsFor } from '../session/pins.ts';
import type { Sheet } from '../sheet/types.ts';

export interface DrawRequest {
  /** What the drawing depends on; comes back with it. */
  key: string;
  sheet: Sheet;
  width: number;
  potentials?: Record<string, number>;
  currents?: Record<string, number>;
  previous?: Plan;
  /** Nodes with a waveform pinned beside them. */
  pinned: string[];
  pin: { width: number; height: number };
}

export interface Drawn {
  key: string;
  plan: Plan;
  pins: Pinned[];
}

addEventListener('message', (event: MessageEvent<DrawRequest>) => {
  const { key, sheet, pinned, pin, ...options } = event.data;
  const plan = layOut(sheet, options);
  postMessage({ key, plan, pins: pinsFor(plan, pinned, pin, options.width) } satisfies Drawn);
});
