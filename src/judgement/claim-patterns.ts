import type { PowerKind } from './claim.js';
import type { ClaimDraft } from './claim-draft.js';
import { readQuantity, takeQuantity } from './claim-quantity.js';

/** A turn of phrase, and what it says. Patterns are sticky; the first in the list that fits is taken. */
export interface Phrase {
  readonly pattern: RegExp;
  readonly take: (draft: ClaimDraft, groups: readonly (string | undefined)[], at: number) => void;
}

const NUMBER = String.raw`[+\-\u2212]?(?:\d+(?:\.\d*)?|\.\d+)`;
const UNIT = String.raw`(?:%|[a-zA-Z\u00b5\u03bc\u03a9\u2126]+)`;
const TO = String.raw`\s*(?:-|\u2013|\u2014|\u2026|\.\.\.?|to|through)\s*`;
const COUNTS: readonly string[] = ['one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight'];
const COUNT = String.raw`\d+|both|all|single|stereo|${COUNTS.join('|')}`;

const sticky = (source: string) => new RegExp(source, 'iyu');
const phrase = (source: string, take: Phrase['take']): Phrase => ({ pattern: sticky(source), take });
const nothing: Phrase['take'] = () => {};

function countOf(word: string): number | 'all' {
  const small = word.toLowerCase();
  if (small === 'all') return 'all';
  if (small === 'both' || small === 'stereo') return 2;
  if (small === 'single') return 1;
  return COUNTS.includes(small) ? COUNTS.indexOf(small) + 1 : Number(small);
}

const kind =
  (value: PowerKind): Phrase['take'] =>
  (draft, [said = ''], at) =>
    draft.set('kind', value, at, said);

/** What stands between the terms and says nothing by itself. */
const BETWEEN: readonly Phrase[] = [
  phrase(String.raw`[\s,;|@()]+`, nothing),
  phrase(
    String.raw`(?:power|output|into|in|at|with|and|from|of|the|a|an|load|loads|rated|resistive|driven|for|tone|distortion|impedance|frequency|band|bandwidth|amplifier|unit|gives|delivers|ac)\b(?!\s*\+)`,
    nothing,
  ),
  phrase(
    String.raw`<=?|\u2264|=|:|(?:less than|no more than|not more than|at most|under|below|up to)\b`,
    nothing,
  ),
];

const REFUSED: readonly Phrase[] = [
  phrase(String.raw`(${NUMBER},\d[\d.,]*)(?:\s*${UNIT})?`, (draft, [, said], at) =>
    draft.fault(
      at,
      `'${said}' has a comma inside of a number`,
      'write the decimal mark as a point, no mark between thousands, and a space behind a comma that parts two terms',
    ),
  ),
  phrase(String.raw`(?:\u00b1|\+/-)\s*${NUMBER}(?:\s*${UNIT})?`, (draft, [said], at) =>
    draft.fault(
      at,
      `'${said}' is a tolerance`,
      'that of a response is no part of a claim of power: leave it out',
    ),
  ),
];

function takeSupply(supplyKind: 'mains' | 'dc'): Phrase['take'] {
  return (draft, [said = '', volts = '', hertz], at) => {
    const voltage_V = readQuantity(draft, volts, 'V', 'V', at);
    const frequency_Hz = hertz === undefined ? null : readQuantity(draft, hertz, 'Hz', 'Hz', at);
    if (voltage_V !== null) draft.set('supply', { kind: supplyKind, voltage_V, frequency_Hz }, at, said);
  };
}

const VOLTS = String.raw`(${NUMBER})\s*(?:V|volts?)\b`;
const HERTZ = String.raw`(?:\s*[,/]?\s*(${NUMBER})\s*Hz)?`;
const SUPPLIES: readonly Phrase[] = [
  phrase(String.raw`mains\s*(?:of|at|:)?\s*${VOLTS}(?:\s*AC\b)?${HERTZ}`, takeSupply('mains')),
  phrase(String.raw`${VOLTS}(?:\s*AC\b)?${HERTZ}\s*(?:AC\s+)?(?:mains|line)\b`, takeSupply('mains')),
  phrase(String.raw`${VOLTS}\s*(?:dc\s+)?(?:supply|battery)\b`, takeSupply('dc')),
  phrase(String.raw`(?:supply|battery)\s*(?:of|at|:)?\s*${VOLTS}(?:\s*dc\b)?`, takeSupply('dc')),
];

const takeDriven: Phrase['take'] = (draft, [said = '', count = ''], at) =>
  draft.set('driven', countOf(count), at, said);

const takeChannels: Phrase['take'] = (draft, [said = '', count = ''], at) => {
  draft.set('channels', Number(count), at, said);
  draft.set('per', 'channel', at, said);
};

const WHOSE: readonly Phrase[] = [
  phrase(String.raw`(\d+)\s*[x\u00d7]\s*(?=${NUMBER}\s*[a-z\u00b5]*W)`, takeChannels),
  phrase(String.raw`[x\u00d7]\s*(\d+)(?![\d.])(?!\s*${UNIT})`, takeChannels),
  phrase(String.raw`(?:(?:per|each|every)\s+|/\s*)(?:channel|ch)\b\.?`, (draft, [said = ''], at) =>
    draft.set('per', 'channel', at, said),
  ),
  phrase(
    String.raw`(${COUNT})[\s-]*(?:(?:channels?|ch)\b\.?)(?:\s+(?:driven|operating|at once|simultaneously|together))*`,
    takeDriven,
  ),
  phrase(String.raw`(${COUNT})\s+driven\b`, takeDriven),
  phrase(
    String.raw`(?:in\s+)?total(?!\s+harmonic)\b|combined\b|sum of all channels\b`,
    (draft, [said = ''], at) => draft.set('per', 'total', at, said),
  ),
  phrase(String.raw`bridged\b|btl\b|bridge(?:[\s-]+mode)?\b`, (draft, [said = ''], at) =>
    draft.set('bridged', true, at, said),
  ),
];

const DISTORTIONS: readonly Phrase[] = [
  phrase(
    String.raw`(?:THD|(?:total\s+)?harmonic\s+distortion)\s*(?:\+|&|plus|and)\s*N(?:oise)?\b`,
    (draft, [said = ''], at) => draft.set('distortion', 'THD+N', at, said),
  ),
  phrase(String.raw`(?:THD|(?:total\s+)?harmonic\s+distortion)\b`, (draft, [said = ''], at) =>
    draft.set('distortion', 'THD', at, said),
  ),
];

const takeBurst: Phrase['take'] = (draft, [said = '', number, spelling], at) => {
  if (number === undefined || spelling === undefined) {
    draft.set('kind', 'burst', at, said);
    return;
  }
  const burst_s = readQuantity(draft, number, 's', spelling, at);
  if (burst_s !== null) draft.set('burst_s', burst_s, at, said);
};

const TIME = String.raw`(${NUMBER})\s*(ms|us|s|seconds?)\b`;
const KINDS: readonly Phrase[] = [
  phrase(String.raw`${TIME}\s*(?:tone\s+)?bursts?\b`, takeBurst),
  phrase(String.raw`(?:tone\s+)?bursts?\b(?:\s*(?:of|:)?\s*${TIME})?`, takeBurst),
  phrase(
    String.raw`(?:continuous|rms|average|minimum|min\.?|sine[\s-]?wave|sine|sinusoidal)(?![a-z])`,
    kind('continuous'),
  ),
  phrase(String.raw`dynamic\b`, kind('dynamic')),
  phrase(String.raw`(?:peak\s+music|music(?:al)?(?:\s+peak)?|pmpo)\b`, kind('music')),
  phrase(String.raw`peak\b`, kind('peak')),
  phrase(String.raw`max(?:imum)?\b\.?(?=\s*${NUMBER}\s*%)`, nothing),
  phrase(String.raw`max(?:imum)?\b\.?(\s+(?:output\s+)?power)?`, (draft, [said = '', power], at) => {
    // "120 W maximum" is a sort of power, "1 % maximum" a limit.
    if (draft.last === 'power_W' || power !== undefined) draft.set('kind', 'maximum', at, said);
  }),
];

const takeStandard: Phrase['take'] = (draft, [said = '', name = ''], at) =>
  draft.set('standard', name.trim(), at, said);

const STANDARDS: readonly Phrase[] = [
  phrase(String.raw`standard\b\s*:?\s*([^,;]{2,80})`, takeStandard),
  phrase(
    String.raw`(?:(?:per|to|under|by|according to)\s+)?((?:(?:IEC|EN|DIN|CTA|CEA|EIA|AES|IHF|JEITA|JIS|FTC)\b|16\s*CFR\b)[^,;]{0,80})`,
    takeStandard,
  ),
];

const takeBand: Phrase['take'] = (draft, [said = '', low = '', lowUnit, high = '', unit = ''], at) => {
  if (lowUnit === undefined && !/^h/i.test(unit)) {
    draft.fault(
      at,
      `'${said.trim()}' does not say the unit of ${low}`,
      "write both, as in '20 Hz to 20 kHz'",
    );
    return;
  }
  const ends = [
    readQuantity(draft, low, 'Hz', lowUnit ?? unit, at),
    readQuantity(draft, high, 'Hz', unit, at),
  ] as const;
  if (ends[0] !== null && ends[1] !== null) draft.set('frequency_Hz', [ends[0], ends[1]], at, said);
};

const takeLevels: Phrase['take'] = (draft, [said = '', low = '', lowUnit = '', high, unit], at) => {
  const from_W = readQuantity(draft, low, 'W', lowUnit, at);
  if (from_W !== null) draft.set('from_W', from_W, at, said);
  if (high === undefined || unit === undefined) return;
  const power_W = readQuantity(draft, high, 'W', unit, at);
  if (power_W !== null) draft.set('power_W', power_W, at, said);
};

const WATTS = String.raw`(${NUMBER})\s*([a-z\u00b5\u03bc]?W|milliwatts|watts)\b`;
const RANGES: readonly Phrase[] = [
  phrase(String.raw`(${NUMBER})\s*([kM]?Hz)?${TO}(${NUMBER})\s*([kM]?Hz|hertz)\b`, takeBand),
  phrase(String.raw`${WATTS}${TO}(?:the\s+)?(?:rated(?:\s+(?:power|output))?\b|${WATTS})`, takeLevels),
];

const QUANTITIES: readonly Phrase[] = [
  phrase(String.raw`(${NUMBER})\s*-?(${UNIT})`, (draft, [, number = '', unit = ''], at) =>
    takeQuantity(draft, number, unit, at),
  ),
  phrase(`(${NUMBER})`, (draft, [said], at) =>
    draft.fault(at, `'${said}' has no unit`, "give it, as in '120 W', '6 ohm' or '0.9 %'"),
  ),
];

/** All of it, the more particular before the more general. */
export const PHRASES: readonly Phrase[] = [
  ...REFUSED,
  ...SUPPLIES,
  ...RANGES,
  ...WHOSE,
  ...DISTORTIONS,
  ...KINDS,
  ...STANDARDS,
  ...QUANTITIES,
  ...BETWEEN,
];

/** Words that a misspelt one may have been meant as. */
export const KNOWN_WORDS: readonly string[] = [
  ...['watts', 'ohm', 'channel', 'channels', 'driven', 'continuous', 'average', 'burst', 'dynamic', 'music'],
  ...['peak', 'maximum', 'bridged', 'mains', 'supply', 'battery', 'standard', 'per', 'total', 'noise'],
  ...['THD', 'distortion', 'harmonic', 'both', 'all', 'rated', 'into', 'power', 'output', 'sine'],
];
