/** Each term of the trade, explained once, for the page's hover and the lesson's first mention. Order: as met. */

export interface Term {
  term: string;
  /** Other forms under which the text mentions it. */
  also?: readonly string[];
  meaning: string;
}

export const GLOSSARY: readonly Term[] = [
  { term: 'stage', meaning: 'One job done by one or a few transistors, with the parts that set it up: what fits on one sheet.' },
  {
    term: 'rail',
    also: ['supply'],
    meaning: 'A node held at a fixed voltage by a supply; the output can never pass the outermost ones for long.',
  },
  {
    term: 'quiescent point',
    also: ['resting point', 'at rest'],
    meaning: 'The voltages and currents with the generator’s alternating part at zero.',
  },
  {
    term: 'standing current',
    meaning: 'The current a transistor carries at rest. It bounds what a stage can give in the direction in which the transistor lets go.',
  },
  {
    term: 'active',
    meaning: 'The state in which the collector current is beta times the base current and hardly depends on the collector voltage.',
  },
  {
    term: 'saturated',
    also: ['saturates'],
    meaning: 'The collector has come so close to the emitter that more base current brings hardly more collector current.',
  },
  {
    term: 'off',
    also: ['cuts off', 'cut off'],
    meaning: 'The transistor carries less than a thousandth of the largest current it sees; it takes no part.',
  },
  { term: 'reversed', meaning: 'Collector and emitter have changed roles: current runs backwards through the device.' },
  {
    term: 'breakdown',
    meaning:
      'A junction conducts against its arrow because the voltage across it is too large. Limited in current it is harmless to a Zener diode; to an emitter it is not.',
  },
  {
    term: 'fades',
    also: ['fade'],
    meaning: 'The device still conducts, but with so little current that a further change of drive hardly moves the output.',
  },
  {
    term: 'follower',
    also: ['common collector'],
    meaning: 'A transistor whose emitter repeats its base about 0.65 V away: voltage gain just below one, current gain of beta.',
  },
  { term: 'common emitter', meaning: 'Signal in at the base, out at the collector: it inverts and amplifies.' },
  {
    term: 'common base',
    meaning: 'Signal in at the emitter, out at the collector, base held: it does not invert, and its input impedance is about r_e.',
  },
  { term: 'headroom', meaning: 'How far the output can rise from rest before its slope against the drive has halved.' },
  { term: 'footroom', meaning: 'How far the output can fall from rest before its slope against the drive has halved.' },
  { term: 'limit', meaning: 'The output at which its slope against the drive has fallen to half of what it is at rest.' },
  { term: 'flat', meaning: 'The output at which the slope has fallen to a fiftieth: the floor or ceiling of a clipped wave.' },
  {
    term: 'clip',
    also: ['clips', 'clipped'],
    meaning: 'To cut the top or bottom off a wave because the stage has run out of voltage or current.',
  },
  { term: 'clean', meaning: 'The largest settled output whose distortion is within the target (1 % unless the sheet asks otherwise).' },
  {
    term: 'dead zone',
    meaning: 'The range of drive over which hardly anything reaches the output, because neither half of a pair conducts yet.',
  },
  { term: 'crossover distortion', meaning: 'What a dead zone does to a wave where it passes from one half of a pair to the other.' },
  { term: 'droop', also: ['sag', 'sags'], meaning: 'The slow loss of a level that a capacitor should hold.' },
  { term: 'electromotive force', meaning: 'What the generator would give with nothing connected to it, before its source resistance.' },
  { term: 'held', meaning: 'A capacitor that keeps its charge over one period, so that it passes the signal whole.' },
  { term: 'input impedance', meaning: 'What the generator sees at the drive node, with the load connected.' },
  {
    term: 'output impedance',
    meaning: 'By how much a small change of load current moves the output. It says nothing about how much current the stage can give.',
  },
  {
    term: 'corner',
    also: ['corner frequency', 'low corner', 'high corner'],
    meaning: 'The frequency at which the gain has fallen 3 dB below its mid-band value.',
  },
  {
    term: 'transconductance',
    also: ['g_m'],
    meaning: 'Change of collector current over change of base-emitter voltage: about the current over 26 mV.',
  },
  { term: 'r_e', meaning: 'The emitter’s own small-signal resistance: about 26 mV over the emitter current.' },
  { term: 'beta', also: ['h_FE'], meaning: 'Collector current over base current. It varies two to one between specimens of a type.' },
  {
    term: 'Early voltage',
    also: ['V_A'],
    meaning: 'The voltage that says how level the collector current stays when the collector voltage changes; larger is more level.',
  },
  { term: 'knee current', meaning: 'The collector current above which beta falls because the base is flooded with carriers.' },
  { term: 'transit time', meaning: 'How long a carrier takes across the base; it limits how fast a device can be.' },
  { term: 'bleed', meaning: 'A resistor that gives a node a path to ground, so that a capacitor finds its level with nothing plugged in.' },
  { term: 'junction temperature', meaning: 'Temperature inside the device: ambient plus dissipation times thermal resistance.' },
  { term: 'thermal resistance', meaning: 'Kelvins of rise for each watt of dissipation.' },
  { term: 'safe operating area', meaning: 'The currents and voltages that a device survives together.' },
  {
    term: 'total harmonic distortion',
    also: ['distortion'],
    meaning: 'The rms of all of the alternating output that is not the fundamental, over the fundamental’s rms.',
  },
  {
    term: 'departure',
    meaning:
      'How far the output is from a straight stage’s answer to the same drive; the right measure where the drive has harmonics of its own.',
  },
  { term: 'load line', meaning: 'The currents and voltages a device can have together, as what it is connected to allows.' },
  {
    term: 'ledger',
    meaning: 'Rule of thumb, computed and measured value, side by side, with the reason where they differ by more than a tenth.',
  },
  {
    term: 'evidence',
    meaning: 'What shows a cause to be true: the same circuit with the suspect taken out, and with the shortage relieved.',
  },
  { term: 'relief', meaning: 'Where the limit goes when what was lacking is supplied.' },
];

const BY_WORD: ReadonlyMap<string, Term> = new Map(
  GLOSSARY.flatMap((entry) => [entry.term, ...(entry.also ?? [])].map((word) => [word.toLowerCase(), entry] as const)),
);

/** The term that a word stands for, or undefined. */
export function explain(word: string): Term | undefined {
  return BY_WORD.get(word.toLowerCase());
}
