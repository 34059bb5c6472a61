import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { decade, type Scale, step, ticks } from './steps.ts';

const ohms: Scale = { kind: 'decades', coarse: 'E24', fine: 'E24', least: 0.1, most: 1e8, zero: false };
const volts: Scale = { kind: 'decades', coarse: '1-2-5', fine: 'tidy', least: 0.001, most: 1000, zero: true };
const offset: Scale = { kind: 'even', coarse: 0.1, fine: 0.1, least: -10, most: 10 };

describe('the steps of a knob', () => {
  it('walks resistors through series E24 of IEC 60063', () => {
    const walked = [680];
    for (let n = 0; n < 5; n += 1) walked.push(step(ohms, walked[walked.length - 1], 1, 'coarse'));
    expect(walked).toEqual([680, 750, 820, 910, 1000, 1100]);
  });

  it('goes from a value between two preferred ones to the next one in either direction', () => {
    expect(step(ohms, 700, 1, 'coarse')).toBe(750);
    expect(step(ohms, 700, -1, 'coarse')).toBe(680);
  });

  it('walks volts by 1-2-5, and by tidy tenths with the fine grain', () => {
    expect(step(volts, 1.8, 1, 'coarse')).toBe(2);
    expect(step(volts, 1.8, -1, 'coarse')).toBe(1);
    expect(step(volts, 1.8, 1, 'fine')).toBe(1.9);
    expect(step(volts, 1.8, -1, 'fine')).toBe(1.7);
  });

  it('reaches zero below the least step and comes back from it', () => {
    expect(step(volts, 0.001, -1, 'fine')).toBe(0);
    expect(step(volts, 0, 1, 'fine')).toBe(0.001);
    expect(step(volts, 0, -1, 'fine')).toBe(0);
  });

  it('steps an offset evenly through zero without leaving a rest of rounding', () => {
    let value = -0.3;
    for (let n = 0; n < 6; n += 1) value = step(offset, value, 1, 'fine');
    expect(value).toBe(0.3);
    expect(step(offset, 10, 1, 'coarse')).toBe(10);
  });

  it('moves by a decade and stops at the ends', () => {
    expect(decade(ohms, 680, true)).toBe(6800);
    expect(decade(ohms, 0.5, false)).toBe(0.1);
  });

  it('comes back to a preferred value after as many steps down as up, for every one of them', () => {
    fc.assert(
      fc.property(fc.integer({ min: -20, max: 120 }), fc.integer({ min: 1, max: 30 }), (start, count) => {
        const value = step(ohms, 100, start, 'coarse');
        fc.pre(value > 0.1 * 20 && value < 1e8 / 20);
        return step(ohms, step(ohms, value, count, 'coarse'), -count, 'coarse') === value;
      }),
    );
    expect(step(ohms, step(ohms, 330, 7, 'fine'), -7, 'fine')).toBe(330);
  });

  it('has a mark under the pointer exactly when the value lies on the row', () => {
    expect(ticks(ohms, 680, 10).some((mark) => mark.at === 0)).toBe(true);
    expect(ticks(ohms, 700, 10).some((mark) => mark.at === 0)).toBe(false);
    expect(ticks(ohms, 680, 10)).toHaveLength(21);
  });
});
