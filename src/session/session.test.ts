import { describe, expect, it } from 'vitest';
import type { Question } from '../answers/types.ts';
import type { Sheet } from '../sheet/types.ts';
import type { FromWorker, Port, ToWorker, Unanswered } from './protocol.ts';
import { createScheduler } from './scheduler.ts';
import { createSession, type Frame } from './session.ts';

const sheet = (title: string): Sheet => ({
  title,
  notes: '',
  ambient: 298.15,
  supplies: [],
  parts: [],
  devices: [],
  heatSinks: [],
  loads: [],
  targets: {},
  series: { resistors: 'E24', capacitors: 'E6' },
  spread: {},
  captures: [],
});

const answered = (question: Question, title: string): Unanswered => ({ question, error: `none for ${title}`, tried: [] });

/** A worker whose answers are let go by hand. */
function handWorker(): { port: Port; sent: ToWorker[]; restarts(): number; reply(message: FromWorker): void } {
  const sent: ToWorker[] = [];
  let listener: (message: FromWorker) => void = () => undefined;
  let restarts = 0;
  return {
    port: {
      postMessage: (message) => sent.push(message),
      onMessage: (given) => {
        listener = given;
      },
      restart: () => {
        restarts += 1;
      },
    },
    sent,
    restarts: () => restarts,
    reply: (message) => listener(message),
  };
}

function bench(): {
  quick: ReturnType<typeof handWorker>;
  patient: ReturnType<typeof handWorker>;
  leisure: ReturnType<typeof handWorker>;
  frames: Frame[];
  /** Lets the time pass that a call back waits for. */
  tick(milliseconds?: number): void;
  session: ReturnType<typeof createSession>;
} {
  const quick = handWorker();
  const patient = handWorker();
  const leisure = handWorker();
  const frames: Frame[] = [];
  const timers = new Map<number, () => void>();
  const session = createSession({
    quick: quick.port,
    patient: patient.port,
    leisure: leisure.port,
    show: (frame) => frames.push(frame),
    after: (milliseconds, callback) => {
      timers.set(milliseconds, callback);
      return () => timers.delete(milliseconds);
    },
  });
  return { quick, patient, leisure, frames, session, tick: (milliseconds = 100) => timers.get(milliseconds)?.() };
}

const want = (title: string) => ({
  sheet: sheet(title),
  now: ['quiescent', 'waveform'] as Question[],
  beside: [] as Question[],
  later: ['impedance'] as Question[],
  options: {},
  laterOptions: {},
});

const asks = (sent: ToWorker[]): number[] => sent.filter((message) => message.kind === 'ask').map((message) => message.input);

describe('a session', () => {
  it('shows an input only when every answer in view has come, and says which still belong to an earlier one', () => {
    const { quick, leisure, frames, session } = bench();
    const input = session.want(want('first'));
    quick.reply({ kind: 'answered', input, question: 'quiescent', answer: answered('quiescent', 'first'), milliseconds: 1 });
    expect(frames).toHaveLength(0);
    quick.reply({ kind: 'answered', input, question: 'waveform', answer: answered('waveform', 'first'), milliseconds: 2 });
    expect(frames).toHaveLength(1);
    expect(frames[0]?.input).toBe(input);
    expect([...(frames[0]?.stale ?? [])]).toEqual(['impedance']);
    leisure.reply({ kind: 'answered', input, question: 'impedance', answer: answered('impedance', 'first'), milliseconds: 3 });
    expect([...(frames[1]?.stale ?? ['none'])]).toEqual([]);
    expect(frames[1]?.milliseconds).toBe(6);
  });

  it('keeps both workers at one input and then sends only the newest of those that came meanwhile', () => {
    const { quick, patient, session } = bench();
    const both = (title: string) => ({ ...want(title), now: ['waveform'] as Question[], beside: ['swing'] as Question[], later: [] });
    const first = session.want(both('1'));
    session.want(both('2'));
    const third = session.want(both('3'));
    quick.reply({ kind: 'answered', input: first, question: 'waveform', answer: answered('waveform', '1'), milliseconds: 1 });
    expect(asks(quick.sent)).toEqual([first]);
    patient.reply({ kind: 'answered', input: first, question: 'swing', answer: answered('swing', '1'), milliseconds: 1 });
    expect(asks(quick.sent)).toEqual([first, third]);
    expect(asks(patient.sent)).toEqual([first, third]);
  });

  it('ends an answer that takes seconds by force when a newer input waits, and not before', () => {
    const { quick, session, tick } = bench();
    session.want(want('endless'));
    tick(2500);
    expect(quick.restarts()).toBe(0);
    const second = session.want(want('next'));
    expect(quick.restarts()).toBe(1);
    expect(asks(quick.sent).at(-1)).toBe(second);
  });

  it('shows a whole frame for every round of a steady drag, however slow the engine', () => {
    const { quick, frames, session, tick } = bench();
    const one = (title: string) => ({ ...want(title), now: ['waveform'] as Question[], beside: [], later: [] });
    session.want(one('0'));
    for (let round = 1; round <= 5; round += 1) {
      for (let step = 0; step < 7; step += 1) session.want(one(`${round}.${step}`));
      tick();
      const input = quick.sent.at(-1)?.input ?? 0;
      quick.reply({ kind: 'answered', input, question: 'waveform', answer: answered('waveform', String(input)), milliseconds: 150 });
    }
    expect(frames.filter((frame) => frame.stale.size === 0)).toHaveLength(5);
  });

  it('drops an answer that comes for an input older than the one shown', () => {
    const { quick, leisure, frames, session } = bench();
    const first = session.want(want('1'));
    for (const question of ['quiescent', 'waveform'] as const) {
      quick.reply({ kind: 'answered', input: first, question, answer: answered(question, '1'), milliseconds: 1 });
    }
    quick.reply({ kind: 'finished', input: first, complete: true });
    const second = session.want(want('2'));
    for (const question of ['quiescent', 'waveform'] as const) {
      quick.reply({ kind: 'answered', input: second, question, answer: answered(question, '2'), milliseconds: 1 });
    }
    const before = frames.length;
    leisure.reply({ kind: 'answered', input: first, question: 'impedance', answer: answered('impedance', '1'), milliseconds: 1 });
    expect(frames).toHaveLength(before);
    expect(frames.at(-1)?.sheet.title).toBe('2');
    expect(frames.at(-1)?.stale.has('impedance')).toBe(true);
  });

  it('shows the new input beside dimmed answers when the engine takes longer than a tenth of a second', () => {
    const { frames, session, tick } = bench();
    session.want(want('slow'));
    tick();
    expect(frames).toHaveLength(1);
    expect(frames[0]?.sheet.title).toBe('slow');
    expect([...(frames[0]?.stale ?? [])].sort()).toEqual(['impedance', 'quiescent', 'waveform']);
  });

  it('asks for what takes longer only when no newer input has come for a while, and gives it up when one comes', () => {
    const { quick, leisure, session, tick } = bench();
    const full = (title: string) => ({
      ...want(title),
      now: ['swing'] as Question[],
      later: ['swing'] as Question[],
      options: { swing: { brief: true } },
      laterOptions: { swing: { help: true } },
    });
    const reply = (input: number): void =>
      quick.reply({ kind: 'answered', input, question: 'swing', answer: answered('swing', String(input)), milliseconds: 1 });
    reply(session.want(full('1')));
    expect(leisure.sent).toHaveLength(0);
    const second = session.want(full('2'));
    reply(second);
    tick(200);
    expect(leisure.sent).toMatchObject([{ input: second, questions: ['swing'], options: { swing: { help: true } } }]);
    expect(leisure.restarts()).toBe(0);
    session.want(full('3'));
    expect(leisure.restarts()).toBe(1);
  });

  it('puts the full answer in the place of the brief one', () => {
    const { quick, leisure, frames, session, tick } = bench();
    const input = session.want({ ...want('both'), now: ['swing'], later: ['swing'] });
    quick.reply({ kind: 'answered', input, question: 'swing', answer: answered('swing', 'brief'), milliseconds: 1 });
    expect(frames.at(-1)?.stale.size).toBe(0);
    tick(200);
    leisure.reply({ kind: 'answered', input, question: 'swing', answer: answered('swing', 'full'), milliseconds: 90 });
    expect(frames.at(-1)?.answers.swing).toEqual(answered('swing', 'full'));
    expect(frames.at(-1)?.input).toBe(input);
  });

  it('lets both workers answer for one frame, and shows it when both have', () => {
    const { quick, patient, frames, session } = bench();
    const input = session.want({ ...want('both'), now: ['waveform'], beside: ['swing'] });
    quick.reply({ kind: 'answered', input, question: 'waveform', answer: answered('waveform', 'both'), milliseconds: 1 });
    expect(frames).toHaveLength(0);
    patient.reply({ kind: 'answered', input, question: 'swing', answer: answered('swing', 'both'), milliseconds: 1 });
    expect(frames).toHaveLength(1);
    expect([...(frames[0]?.stale ?? [])]).toEqual(['impedance']);
  });
});

describe('the scheduler in the worker', () => {
  it('gives up the rest of an input between two questions when a newer one has come', async () => {
    const posted: FromWorker[] = [];
    let listen: (message: ToWorker) => void = () => undefined;
    const done = new Promise<void>((resolve) => {
      listen = createScheduler({
        answer: (question, given) => answered(question, given.title),
        post: (message) => {
          posted.push(message);
          if (message.kind === 'answered' && message.input === 1) {
            listen({ kind: 'ask', input: 2, sheet: sheet('2'), questions: ['swing'], firm: 1, options: {} });
          }
          if (message.kind === 'finished' && message.input === 2) resolve();
        },
        breathe: async () => undefined,
        now: () => 0,
      });
    });
    listen({ kind: 'ask', input: 1, sheet: sheet('1'), questions: ['quiescent', 'impedance'], firm: 1, options: {} });
    await done;
    expect(posted.map((message) => [message.kind, message.input])).toEqual([
      ['answered', 1],
      ['finished', 1],
      ['answered', 2],
      ['finished', 2],
    ]);
    expect(posted[1]).toMatchObject({ complete: false });
  });

  it('turns a fault of the engine into a sentence and goes on', async () => {
    const posted: FromWorker[] = [];
    await new Promise<void>((resolve) => {
      const listen = createScheduler({
        answer: () => {
          throw new Error('the matrix is singular at node base');
        },
        post: (message) => {
          posted.push(message);
          if (message.kind === 'finished') resolve();
        },
        breathe: async () => undefined,
        now: () => 0,
      });
      listen({ kind: 'ask', input: 1, sheet: sheet('1'), questions: ['quiescent'], firm: 1, options: {} });
    });
    expect(posted[0]).toMatchObject({ answer: { error: expect.stringContaining('singular at node base') } });
  });
});
