/** Flattening: what each kind of part becomes. */
import { describe, expect, it } from 'vitest';
import { readSheet } from '../sheet/read.ts';
import { connectedLoad, flatten, type Network, nodesOf, unknownsOf } from './network.ts';

function networkOf(parts: string, rest = ''): Network {
  const { sheet, problems } = readSheet(`footroom: 1\ntitle: Test\nsupplies: { vcc: 9 V }\nparts:\n${parts}${rest}`);
  if (!sheet) throw new Error(problems.map(({ sentence }) => sentence).join('\n'));
  return flatten(sheet);
}
const named = (net: Network, i: number): string => (i < 0 ? 'gnd' : net.nodes[i]);
/** Resistances of a part as [from, to, ohms, inner]. */
const resistors = (net: Network, part: string) =>
  net.resistors.filter((r) => r.part === part).map((r) => [named(net, r.a), named(net, r.b), r.resistance, r.inner]);
const branches = (net: Network, part: string) =>
  net.branches.filter((b) => b.part === part).map((b) => [b.kind, named(net, b.a), named(net, b.b), b.resistance, b.inductance, b.emf]);

const BJT =
  'devices:\n  q: { npn: { saturationCurrent: 1e-14, forwardBeta: 100, reverseBeta: 2, baseResistance: 20, collectorResistance: 2, emitterResistance: 0.4 } }\n  p: { pnp: { saturationCurrent: 1e-14, forwardBeta: 100, reverseBeta: 2 } }\n  d: { diode: { saturationCurrent: 1e-12, seriesResistance: 3 } }\n';

describe('two-terminal parts', () => {
  it('are elements between their nodes, with ground as -1', () => {
    const net = networkOf('  R1: { resistor: 1k, from: vcc, to: a }\n  C1: { capacitor: 1u, from: a, to: gnd }\n');
    expect(resistors(net, 'R1')).toEqual([['vcc', 'a', 1000, undefined]]);
    expect(net.capacitors).toEqual([{ part: 'C1', a: net.nodes.indexOf('a'), b: -1, capacitance: 1e-6 }]);
    expect(branches(net, 'vcc')).toEqual([['supply', 'vcc', 'gnd', 0, 0, 9]]);
    expect(unknownsOf(net)).toBe(3);
  });
  it('a capacitor has its series resistance before its plate and its leakage across what is behind it', () => {
    const net = networkOf('  C1: { capacitor: 1u, from: vcc, to: gnd, seriesResistance: 0.5, rating: 16 V, leakage: 2u }\n');
    expect(resistors(net, 'C1')).toEqual([
      ['vcc', 'C1.plate', 0.5, 'series'],
      ['C1.plate', 'gnd', 8e6, 'leakage'],
    ]);
    expect(named(net, net.capacitors[0].a)).toBe('C1.plate');
    expect(net.named).toBe(1);
  });
  it('an inductor and a source are branches with a current of their own, a current source is none', () => {
    const net = networkOf(
      '  L1: { inductor: 2m, from: vcc, to: a, seriesResistance: 3 }\n  V1: { voltage: 1.5 V, from: a, to: b, resistance: 0.2 }\n  I1: { current: 1 mA, from: b, to: gnd }\n',
    );
    expect(branches(net, 'L1')).toEqual([['inductor', 'vcc', 'a', 3, 2e-3, 0]]);
    expect(branches(net, 'V1')).toEqual([['voltage', 'a', 'b', 0.2, 0, 1.5]]);
    expect(net.currents).toEqual([{ part: 'I1', a: net.nodes.indexOf('b'), b: -1, amperes: 1e-3 }]);
  });
});

describe('a trimmer', () => {
  const trimmer = (position: string, wiper = 'w') =>
    networkOf(`  P1: { trimmer: 10k, from: vcc, to: gnd, wiper: ${wiper}, position: ${position} }\n`);
  it('is two tracks that add up to its value', () => {
    expect(branches(trimmer('0.3'), 'P1').map((b) => [b[1], b[2], b[3]])).toEqual([
      ['vcc', 'w', 3000],
      ['w', 'gnd', 7000],
    ]);
  });
  it.each([
    ['0', [0, 10000]],
    ['1', [10000, 0]],
  ])('is an exact link on one side at the end %s', (position, tracks) => {
    expect(branches(trimmer(position), 'P1').map((b) => b[3])).toEqual(tracks);
  });
  it('has no track between a wiper and the end it is tied to', () => {
    expect(branches(trimmer('0.3', 'vcc'), 'P1').map((b) => [b[1], b[2], b[3]])).toEqual([['vcc', 'gnd', 7000]]);
  });
});

describe('a loudspeaker', () => {
  it('is its voice coil alone where nothing is known of its resonance', () => {
    const net = networkOf('  LS1: { speaker: { resistance: 8, inductance: 0.1m }, from: vcc, to: gnd }\n');
    expect(branches(net, 'LS1')).toEqual([['inductor', 'vcc', 'gnd', 8, 1e-4, 0]]);
  });
  // Small, Journal of the Audio Engineering Society 20, 1972: the motional impedance at resonance is R_e Q_ms/Q_es.
  it('moves as a parallel circuit with its resonance and its mechanical Q', () => {
    const net = networkOf(
      '  LS1: { speaker: { resistance: 8, inductance: 0.1m, resonance: 90 Hz, mechanicalQ: 3, electricalQ: 0.8 }, from: vcc, to: gnd }\n',
    );
    const [motion] = net.resistors;
    const inductance = net.branches.find((b) => b.inner === 'motion')?.inductance ?? 0;
    const { capacitance } = net.capacitors[0];
    expect(motion.resistance).toBeCloseTo(30, 12);
    const omega = 1 / Math.sqrt(inductance * capacitance);
    expect(omega / (2 * Math.PI)).toBeCloseTo(90, 9);
    expect(omega * motion.resistance * capacitance).toBeCloseTo(3, 12);
    expect(omega * 8 * capacitance).toBeCloseTo(0.8, 12);
  });
});

describe('devices', () => {
  it('have an internal node behind each terminal with a resistance, divided by the area', () => {
    const net = networkOf(
      '  Q1: { npn: q, collector: vcc, base: b, emitter: e, area: 4 }\n  R1: { resistor: 1k, from: e, to: gnd }\n',
      BJT,
    );
    expect(resistors(net, 'Q1')).toEqual([
      ['vcc', 'Q1.collector', 0.5, 'collector'],
      ['b', 'Q1.base', 5, 'base'],
      ['e', 'Q1.emitter', 0.1, 'emitter'],
    ]);
    const [t] = net.transistors;
    expect([named(net, t.collector), named(net, t.base), named(net, t.emitter)]).toEqual(['Q1.collector', 'Q1.base', 'Q1.emitter']);
    expect(named(net, t.outer.collector)).toBe('vcc');
    expect(t.sign).toBe(1);
  });
  it('without resistances sit on their own terminals, a PNP with the opposite sign', () => {
    const net = networkOf('  Q1: { pnp: p, collector: gnd, base: b, emitter: vcc }\n', BJT);
    expect(net.resistors).toEqual([]);
    expect(net.transistors[0]).toMatchObject({ collector: -1, sign: -1 });
  });
  it('a diode has its series resistance at its anode', () => {
    const net = networkOf('  D1: { diode: d, anode: vcc, cathode: gnd, area: 2 }\n', BJT);
    expect(resistors(net, 'D1')).toEqual([['vcc', 'D1.diode', 1.5, 'diode']]);
    expect(net.diodes[0]).toMatchObject({ cathode: -1, outerAnode: net.nodes.indexOf('vcc') });
  });
});

describe('parts on trial', () => {
  it('lifted are gone, with the nodes that only they touch', () => {
    const net = networkOf('  R1: { resistor: 1k, from: vcc, to: gnd }\n  R2: { resistor: 1k, from: vcc, to: lone, lifted: true }\n');
    expect(net.resistors.map((r) => r.part)).toEqual(['R1']);
    expect(net.nodes).toEqual(['vcc']);
  });
  it.each([
    ['R1', '  R1: { resistor: 1k, from: a, to: gnd, shorted: true }\n'],
    ['C1', '  C1: { capacitor: 1u, from: a, to: gnd, seriesResistance: 2, shorted: true }\n'],
    ['D1', '  D1: { diode: d, anode: a, cathode: gnd, shorted: true }\n'],
    ['Q1', '  Q1: { npn: q, collector: a, base: b, emitter: gnd, shorted: true }\n'],
  ])('shorted are an exact link between their ends: %s', (name, part) => {
    const net = networkOf(`${part}  R9: { resistor: 1k, from: vcc, to: a }\n`, BJT);
    expect(branches(net, name)).toEqual([['link', 'a', 'gnd', 0, 0, 0]]);
    expect(resistors(net, name)).toEqual([]);
    expect([net.transistors.length, net.diodes.length, net.capacitors.length]).toEqual([0, 0, 0]);
  });
});

describe('the load and the drive', () => {
  const stage = (loads: string): Network =>
    networkOf(
      '  R1: { resistor: 1k, from: in, to: out }\n',
      `drive: { node: in, sourceResistance: 50, waveform: sine, peak: 1 V, offset: 0.2 V, frequency: 1 kHz }\noutput: out\nloads:\n  x: ${loads}\n`,
    );
  it('the generator is a branch to ground with its resistance and its offset', () => {
    const net = stage('open');
    expect(net.branches[net.generator]).toMatchObject({ kind: 'generator', resistance: 50, emf: 0.2, b: -1 });
    expect([named(net, net.driveNode), named(net, net.outputNode)]).toEqual(['in', 'out']);
    expect(net.resistors.some((r) => r.ofLoad)).toBe(false);
  });
  it('a load of several elements has them side by side, or in a row behind its plate', () => {
    const parallel = stage('{ resistor: 1k, capacitor: 1n }');
    expect(resistors(parallel, 'x')).toEqual([['out', 'gnd', 1000, undefined]]);
    expect(parallel.capacitors).toMatchObject([{ b: -1, ofLoad: true, capacitance: 1e-9 }]);
    const series = stage('{ resistor: 1k, capacitor: 1n, series: true }');
    expect(resistors(series, 'x')).toEqual([['x.plate', 'gnd', 1000, undefined]]);
    expect(named(series, series.capacitors[0].a)).toBe('out');
  });
  it('the load named, else the first, is the one connected; an open one is none', () => {
    const load = { name: 'a', to: 'gnd' };
    const sheet = { loads: [load, { name: 'b', to: 'gnd', open: true }] } as never;
    expect(connectedLoad(sheet)?.name).toBe('a');
    expect(connectedLoad(Object.assign({ load: 'b' }, sheet))).toBeUndefined();
  });
  it('nodes are numbered in the order supplies, parts, drive, output', () => {
    const { sheet } = readSheet(
      'footroom: 1\ntitle: Test\nsupplies: { vcc: 9 V }\nparts:\n  R1: { resistor: 1k, from: z, to: a }\n  R2: { resistor: 1k, from: a, to: vcc }\noutput: z\n',
    );
    if (!sheet) throw new Error('the sheet should be read');
    expect(nodesOf(sheet)).toEqual(['vcc', 'z', 'a']);
  });
});
