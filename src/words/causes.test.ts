import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Cause, CauseEvent } from '../answers/types.ts';
import { readSheet } from '../sheet/index.ts';
import type { Sheet } from '../sheet/types.ts';
import { type CauseContext, causeSentence, demandPhrase, evidenceSentence, limitSentence, limitWithCause } from './causes.ts';
import { cutOff, saturation, swing } from './testing/answers.ts';
import { inventedFigures } from './testing/figures.ts';

const phones: CauseContext = { output: 'jack', load: 'phones', drive: 'in', sheet: null };
function readStage(parts: string): Sheet {
  const { sheet, problems } = readSheet(`footroom: 1
title: A stage
supplies: { vcc: 9 V, vee: -9 V }
drive: { node: in, waveform: sine, peakToPeak: 1 V, frequency: 1 kHz }
${parts}`);
  if (sheet === null) throw new Error(problems.map((problem) => problem.sentence).join(' '));
  return sheet;
}

const plain = (text: string | null): string => (text ?? '').replace(/\u00a0/g, ' ');

describe('causes in words', () => {
  it('let the load return what the stage must take on the way down', () => {
    expect(plain(causeSentence(cutOff, { ...phones, side: 'low' }))).toBe('Q1 cuts off: the phones return 24.9 mA, R3 can take 7.94 mA.');
  });

  it('let the load want what the stage must give on the way up, as in the mirrored stage', () => {
    expect(plain(causeSentence(cutOff, { ...phones, side: 'high' }))).toBe('Q1 cuts off: the phones want 24.9 mA, R3 can give 7.94 mA.');
  });

  it('agree with a load of one', () => {
    const line: Cause = { ...cutOff, demand: { part: 'R3', amperes: 0.0249, capacity: 0.00794, by: 'line' } };
    expect(plain(demandPhrase(line, { ...phones, load: 'line', side: 'low' }))).toBe('the line returns 24.9 mA, R3 can take 7.94 mA');
  });

  it('name no direction where a part inside the stage asks', () => {
    const inside: Cause = { ...cutOff, demand: { part: 'R3', amperes: 0.0249, capacity: 0.00794, by: 'Q2' } };
    const said = plain(demandPhrase(inside, { ...phones, side: 'low' }));
    expect(said).toBe('Q2 asks for 24.9 mA, R3 can pass 7.94 mA');
  });

  it('say what a saturated device itself asks for', () => {
    expect(plain(causeSentence(saturation, { ...phones, side: 'high' }))).toBe(
      'Q1 saturates: Q1’s base current calls for 237 mA, the circuit lets only 210 mA through.',
    );
  });

  it('say that nothing carries the current where no part could', () => {
    const none: Cause = { ...cutOff, demand: { part: 'RE', amperes: 0.000283, capacity: 0, by: 'RE' } };
    expect(plain(causeSentence(none, { ...phones, side: 'low' }))).toBe(
      'Q1 cuts off: going on would take 283 µA through RE, and nothing can carry that.',
    );
    const load: Cause = { ...cutOff, demand: { part: 'phones', amperes: 0.00133, capacity: 0, by: 'phones' } };
    expect(plain(causeSentence(load, { ...phones, side: 'low' }))).toBe(
      'Q1 cuts off: going on would take 1.33 mA through the phones, and nothing can carry that.',
    );
  });

  it('tell what would be asked beyond a limit at which just what there is is asked', () => {
    const even: Cause = { ...cutOff, demand: { part: 'R3', amperes: 0.01500001, capacity: 0.015, by: 'Q2' } };
    const beyond = 'Q1 cuts off: beyond that Q2 would ask for more than the 15 mA R3 can pass.';
    expect(plain(causeSentence(even, { ...phones, side: 'low' }))).toBe(beyond);
    const desk: Cause = { ...cutOff, demand: { part: 'Q2', amperes: 0.0122, capacity: 0.0125, by: 'phones' } };
    const said = (side: 'low' | 'high'): string => plain(demandPhrase(desk, { ...phones, side }));
    expect(said('low')).toBe('beyond that the phones would return more than the 12.5 mA Q2 can take');
    expect(said('high')).toBe('beyond that the phones would want more than the 12.5 mA Q2 can give');
  });

  it('name both devices and say what speaks against a proof', () => {
    const shared: Cause = { ...cutOff, second: 'D1', proven: false, missing: 'shared', demand: null };
    expect(causeSentence(shared, { ...phones, side: 'low' })).toBe(
      'Q1 and D1 cut off. Likely, not proven: two devices share it, and neither alone explains it.',
    );
  });

  it('tell the evidence from both sides', () => {
    expect(plain(evidenceSentence(cutOff, { ...phones, side: 'low' }))).toBe(
      'At −0.368 V from the generator, jack stands at −0.246 V; with Q1 lifted and all else kept, at −0.252 V. With the missing current supplied from outside the limit moves to −1.12 V.',
    );
    expect(plain(evidenceSentence(saturation, { ...phones, side: 'high' }))).toContain(
      'With vcc a volt further from ground the limit moves to 7.16 V.',
    );
  });

  it('let a resistor on the way to the output bring back what the load returns', () => {
    const sheet = readStage(`
parts:
  Q1: { npn: small-signal, collector: vcc, base: in, emitter: out }
  R3: { resistor: 390, from: out, to: gnd }
  R5: { resistor: 47, from: out, to: end }
  C2: { capacitor: 100u, from: end, to: far }
output: far
`);
    const context: CauseContext = { output: 'far', load: null, drive: 'in', sheet };
    const cause: Cause = { ...cutOff, demand: { part: 'R3', amperes: 0.007, capacity: 0.005, by: 'R5' } };
    expect(plain(demandPhrase(cause, { ...context, side: 'low' }))).toBe('R5 brings 7 mA, R3 can take 5 mA');
    expect(plain(demandPhrase(cause, { ...context, side: 'high' }))).toBe('R5 draws 7 mA, R3 can give 5 mA');
    const even: Cause = { ...cutOff, demand: { part: 'R3', amperes: 0.005, capacity: 0.005, by: 'R5' } };
    expect(plain(demandPhrase(even, { ...context, side: 'low' }))).toBe('beyond that R5 would bring more than the 5 mA R3 can take');
  });

  it('take the way of the current from the demand where it is told, inside the stage too', () => {
    const inside: Cause = { ...cutOff, demand: { part: 'R3', amperes: 0.0249, capacity: 0.00794, by: 'Q2', direction: 'give' } };
    expect(plain(demandPhrase(inside, { ...phones, side: 'low' }))).toBe('Q2 draws 24.9 mA, R3 can give 7.94 mA');
  });

  it('tell nothing lacking of a diode that starts to conduct, and name its ends', () => {
    const clamps: Cause = {
      ...saturation,
      part: 'D1',
      event: 'turns-on',
      demand: { part: 'Q1', amperes: 1e-4, capacity: 4e-5, by: 'drive' },
    };
    expect(plain(causeSentence(clamps, phones))).toBe('D1 starts to conduct.');
    const evidence = { change: 'joined' as const, part: 'D1', volts: 1, rest: null, relief: null };
    expect(plain(evidenceSentence({ ...clamps, evidence }, phones))).toBe(
      'With D1’s ends joined through the voltage they then have, jack stands at 1 V.',
    );
  });

  it('name the generator and the load as carriers by their nouns', () => {
    const fed: Cause = { ...cutOff, demand: { part: 'phones', amperes: 0.002, capacity: 0.001, by: 'drive', direction: 'give' } };
    expect(plain(demandPhrase(fed, phones))).toBe('the generator draws 2 mA, the phones can give 1 mA');
  });

  it('let one half of a differential pair fade because the other has the whole tail', () => {
    const sheet = readStage(`
parts:
  Q1: { npn: small-signal, collector: vcc, base: in, emitter: tail }
  Q2: { npn: small-signal, collector: out, base: gnd, emitter: tail }
  R4: { resistor: 8k2, from: vcc, to: out }
  R5: { resistor: 8k2, from: tail, to: vee }
output: out
`);
    const fades: Cause = { ...cutOff, event: 'fades', demand: { part: 'R5', amperes: 0.00102, capacity: 0.00102, by: 'Q2' } };
    const context: CauseContext = { output: 'out', load: null, drive: 'in', sheet };
    expect(plain(demandPhrase(fades, { ...context, side: 'low' }))).toBe('by then Q2 has nearly all of the 1.02 mA that R5 passes');
  });

  it('tell a droop once where its time constant explains it', () => {
    const droops = (predicted: number): Cause => ({
      ...cutOff,
      demand: null,
      droop: { timeConstant: 0.157, predicted, observed: 0.00161 },
    });
    expect(plain(causeSentence(droops(0.00161), phones))).toBe(
      'Q1 cuts off: the level sags by 1.61 mV, as its time constant of 157 ms has it.',
    );
    expect(plain(causeSentence(droops(0.0015), phones))).toBe(
      'Q1 cuts off: the level sags by 1.61 mV, by its time constant of 157 ms alone it would be 1.5 mV.',
    );
  });

  it('lead a limit with place, event and demand, and a fading one without two colons', () => {
    const { low } = swing();
    if (low === null) throw new Error('the invented swing has a lower limit');
    expect(plain(limitWithCause(low, 'low', phones))).toBe(
      'Flat at −0.25 V, where Q1 cuts off: the phones return 24.9 mA, R3 can take 7.94 mA.',
    );
    const likely = { ...low, flat: null, cause: { ...cutOff, event: 'fades' as const, proven: false } };
    expect(plain(limitWithCause(likely, 'low', phones))).toBe(
      'Bends at −0.232 V; likely Q1 fades: too little current is left in it to move the output further; the phones return 24.9 mA, R3 can take 7.94 mA.',
    );
  });

  it('head a limit with where it is flat and why', () => {
    const { low } = swing();
    expect(low).not.toBeNull();
    if (low === null) return;
    expect(plain(limitSentence(low, 'low', phones))).toBe('Flat at −0.25 V: the phones return 24.9 mA, R3 can take 7.94 mA.');
  });

  it('say only figures that the cause holds, whatever it is', () => {
    const figure = fc.double({ min: -50, max: 50, noNaN: true });
    const amperes = fc.double({ min: 1e-6, max: 10, noNaN: true });
    const events: CauseEvent[] = [
      'cuts-off',
      'saturates',
      'breaks-down',
      'reverses',
      'turns-on',
      'fades',
      'jumps',
      'holds',
      'both-off',
      'clipped-upstream',
    ];
    const causes: fc.Arbitrary<Cause> = fc.record({
      part: fc.constantFrom('Q1', 'D2', 'C2'),
      event: fc.constantFrom(...events),
      proven: fc.boolean(),
      shares: fc.constant({}),
      demand: fc.option(
        fc.record({ part: fc.constantFrom('R3', 'R7'), amperes, capacity: amperes, by: fc.constantFrom('phones', 'Q2', 'R3') }),
      ),
      evidence: fc.option(
        fc.record({
          change: fc.constantFrom('lifted' as const, 'joined' as const, 'without-breakdown' as const, 'held' as const),
          part: fc.constantFrom('Q1', 'D2'),
          volts: fc.option(figure),
          rest: fc.option(fc.record({ drive: figure, output: figure, changed: figure })),
          relief: fc.option(fc.record({ change: fc.constantFrom('current-supplied', 'vcc-raised', 'lifted'), volts: fc.option(figure) })),
        }),
      ),
      sentence: fc.constant(''),
      droop: fc.option(fc.record({ timeConstant: amperes, predicted: figure, observed: figure }), { nil: undefined }),
    });
    fc.assert(
      fc.property(causes, fc.constantFrom('high' as const, 'low' as const, undefined), (cause, side) => {
        const said = [causeSentence(cause, { ...phones, side }), evidenceSentence(cause, { ...phones, side }) ?? ''];
        expect(inventedFigures(said, cause)).toEqual([]);
        expect(said[0]).toMatch(/^[A-Z].*\.$/);
        expect(said.join(' ')).not.toMatch(/undefined|null|NaN|\.\./);
        if (side === 'low') expect(said[0]).not.toMatch(/can give|want /);
        if (side === 'high') expect(said[0]).not.toMatch(/can take|return /);
      }),
    );
  });
});
