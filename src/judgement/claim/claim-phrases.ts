import { quoted } from '../../units/parse.js';
import type { ClaimTerms, PowerKind } from './claim.js';
import type { ClaimListener } from './claim-statement.js';
import { readIn, takeQuantity } from './claim-units.js';

/** A turn of phrase, and what it says. Patterns are sticky; the first in the list that fits is taken. */
export interface Phrase {
  readonly pattern: RegExp;
  readonly take: (to: ClaimListener, groups: readonly string[]) => void;
}

const NUMBER = String.raw`[+\-\u2212]?(?:\d+(?:\.\d*)?|\.\d+)`;
const UNIT = String.raw`(?:%|[a-zA-Z\u00b5\u03bc\u03a9\u2126]+)`;
const TO = String.raw`\s*(?:-|\u2013|\u2014|\u2026|\.\.\.?|to|through)\s*`;
const COUNTS = ['one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight'];
const COUNT = String.raw`\d+|both|all|single|stereo|${COUNTS.join('|')}`;
const WATT = String.raw`(?:[a-z\u00b5\u03bc]?W|milliwatts?|watts?)\b`;
const POWER = String.raw`(${NUMBER})\s*(${WATT})`;
const PLAIN = String.raw`\d+(?:\.\d+)?`;

/** Groups that took no part are empty. */
const phrase = (source: string, take: Phrase['take']): Phrase => ({
  pattern: new RegExp(source, 'iyu'),
  take,
});
const states = <Term extends keyof ClaimTerms>(
  source: string,
  term: Term,
  value: NonNullable<ClaimTerms[Term]>,
): Phrase => phrase(source, (to) => to.say(term, value));
const silent = (source: string): Phrase => phrase(source, () => {});
const kind = (source: string, value: PowerKind): Phrase => states(source, 'kind', value);

function countOf(word: string): number | 'all' {
  const small = word.toLowerCase();
  if (small === 'all') return 'all';
  if (small === 'both' || small === 'stereo') return 2;
  if (small === 'single') return 1;
  return COUNTS.includes(small) ? COUNTS.indexOf(small) + 1 : Number(small);
}

const SUPPLY_V = String.raw`(${NUMBER})\s*(?:V|volts?)\b`;
const SUPPLY_HZ = String.raw`(?:\s*[,/]?\s*(${NUMBER})\s*Hz)?`;
const supply =
  (kindOf: 'mains' | 'dc'): Phrase['take'] =>
  (to, [volts = '', hertz = '']) => {
    const voltage_V = readIn(to, volts, 'V', 'V');
    const frequency_Hz = hertz === '' ? null : readIn(to, hertz, 'Hz', 'Hz');
    if (voltage_V !== null) to.say('supply', { kind: kindOf, voltage_V, frequency_Hz });
  };
const SUPPLIES: readonly Phrase[] = [
  phrase(String.raw`mains\s*(?:of|at|:)?\s*${SUPPLY_V}(?:\s*AC\b)?${SUPPLY_HZ}`, supply('mains')),
  phrase(String.raw`${SUPPLY_V}(?:\s*AC\b)?${SUPPLY_HZ}\s*(?:AC\s+)?(?:mains|line)\b`, supply('mains')),
  phrase(String.raw`${SUPPLY_V}\s*(?:dc\s+)?(?:supply|battery)\b`, supply('dc')),
  phrase(String.raw`(?:supply|battery)\s*(?:of|at|:)?\s*${SUPPLY_V}(?:\s*dc\b)?`, supply('dc')),
];

/** `20-20 kHz` can only begin at 20 Hz; `10-20 kHz` may begin at either. */
const band: Phrase['take'] = (to, [low = '', lowUnit = '', high = '', highUnit = '']) => {
  const inHertz = lowUnit !== '' || /^h/i.test(highUnit) || Number(low) >= Number(high);
  if (!inHertz)
    return to.fault(
      `'${low} to ${high} ${highUnit}' does not say the unit of ${low}`,
      "write both, as in '20 Hz to 20 kHz'",
    );
  const [from_Hz, to_Hz] = [readIn(to, low, lowUnit || 'Hz', 'Hz'), readIn(to, high, highUnit, 'Hz')];
  if (from_Hz !== null && to_Hz !== null) to.say('frequency_Hz', [from_Hz, to_Hz]);
};

const levels: Phrase['take'] = (to, [low = '', lowUnit = '', high = '', unit = '']) => {
  const from_W = readIn(to, low, lowUnit, 'W');
  if (from_W !== null) to.say('from_W', from_W);
  const power_W = high === '' ? null : readIn(to, high, unit, 'W');
  if (power_W !== null) to.say('power_W', power_W);
};

/** `120 W + 120 W`. */
const sum: Phrase['take'] = (to, [all = '', unit = '']) => {
  const parts = all.split('+');
  const numbers = new Set(parts.map((part) => Number.parseFloat(part)));
  if (numbers.size > 1)
    return to.fault(`${quoted(all.trim())} adds unlike powers`, 'write each as a claim of its own');
  const power_W = readIn(to, String([...numbers][0]), unit, 'W');
  if (power_W === null) return;
  to.say('power_W', power_W);
  to.say('channels', parts.length);
  to.say('per', 'channel');
};

const RANGES: readonly Phrase[] = [
  phrase(String.raw`(${NUMBER})\s*([kM]?Hz)?${TO}(${NUMBER})\s*([kM]?Hz|hertz|k)\b`, band),
  phrase(String.raw`${POWER}${TO}(?:the\s+)?(?:rated(?:\s+(?:power|output))?\b|${POWER})`, levels),
  phrase(String.raw`((?:${PLAIN}\s*(?:${WATT})?\s*\+\s*)+${PLAIN}\s*(${WATT}))`, sum),
];

const channels: Phrase['take'] = (to, [count = '']) => {
  to.say('channels', Number(count));
  to.say('per', 'channel');
};
const driven: Phrase['take'] = (to, [count = '']) => to.say('driven', countOf(count));
const WHOSE: readonly Phrase[] = [
  phrase(String.raw`(\d+)\s*[x\u00d7]\s*(?=${NUMBER}\s*[a-z\u00b5]*W)`, channels),
  phrase(String.raw`[x\u00d7]\s*(\d+)(?![\d.])(?!\s*${UNIT})`, channels),
  states(String.raw`(?:(?:per|each|every)\s+|/\s*)(?:channel|ch|side)\b\.?|each\b`, 'per', 'channel'),
  phrase(
    String.raw`(${COUNT})[\s-]*(?:(?:channels?|ch)\b\.?)(?:\s+(?:driven|operating|at once|simultaneously|together))*`,
    driven,
  ),
  phrase(String.raw`(${COUNT})\s+driven\b`, driven),
  states(String.raw`(?:in\s+)?total(?!\s+harmonic)\b|combined\b|sum of all channels\b`, 'per', 'total'),
  states(
    String.raw`(?:bridged(?:[\s-]+mono)?|mono[\s-]+bridged|btl|bridge(?:[\s-]+mode)?)\b`,
    'bridged',
    true,
  ),
  states(String.raw`mono(?:block|phonic)?\b`, 'driven', 1),
];

const HARMONIC = String.raw`(?:THD|(?:total\s+)?harmonic\s+distortion)`;
const DISTORTIONS: readonly Phrase[] = [
  states(String.raw`${HARMONIC}\s*(?:\+|&|plus|and)\s*N(?:oise)?\b`, 'distortion', 'THD+N'),
  states(String.raw`${HARMONIC}\b`, 'distortion', 'THD'),
];

const TIME = String.raw`(${NUMBER})\s*(ms|us|s|seconds?)\b`;
const burst: Phrase['take'] = (to, [number = '', unit = '']) => {
  const burst_s = number === '' ? null : readIn(to, number, unit, 's');
  if (number === '') to.say('kind', 'burst');
  else if (burst_s !== null) to.say('burst_s', burst_s);
};
const KINDS: readonly Phrase[] = [
  phrase(String.raw`${TIME}\s*(?:tone\s+)?bursts?\b`, burst),
  phrase(String.raw`(?:tone\s+)?bursts?\b(?:\s*(?:of|:)?\s*${TIME})?`, burst),
  kind(
    String.raw`(?:continuous|rms|average|minimum|min\.?|sine[\s-]?wave|sine|sinusoidal)(?![a-z])`,
    'continuous',
  ),
  kind(String.raw`dynamic\b`, 'dynamic'),
  kind(
    String.raw`(?:peak\s+music(?:al)?(?:\s+power)?(?:\s+output)?|music(?:al)?\s+peak|p\.?m\.?p\.?o\b\.?)`,
    'PMPO',
  ),
  kind(String.raw`music(?:al)?\b`, 'music'),
  kind(String.raw`(?:max(?:imum)?\.?\s+)?(?:instantaneous\s+)?(?:peak|pk)\b`, 'peak'),
  silent(String.raw`max(?:imum)?\b\.?(?=\s*${NUMBER}\s*%)`),
  phrase(String.raw`max(?:imum)?\b\.?(\s+(?:output\s+)?power)?`, (to, [power = '']) => {
    // "120 W maximum" is a sort of power, "1 % maximum" a limit.
    if (to.last === 'power_W' || power !== '') to.say('kind', 'maximum');
  }),
];

const standard: Phrase['take'] = (to, [name = '']) => to.say('standard', name.trim());
const STANDARDS: readonly Phrase[] = [
  phrase(String.raw`standard\b\s*:?\s*([^,;]{2,80})`, standard),
  phrase(
    String.raw`(?:(?:per|to|under|by|according to)\s+)?((?:(?:IEC|EN|DIN|CTA|CEA|EIA|AES|IHF|JEITA|JIS|FTC)\b|16\s*CFR\b)[^,;]{0,80})`,
    standard,
  ),
];

const REFUSED: readonly Phrase[] = [
  phrase(String.raw`((?:\u00b1|\+/-)\s*${NUMBER}(?:\s*${UNIT})?)`, (to, [said = '']) =>
    to.fault(
      `'${said}' is a tolerance`,
      'that of a response does not belong in a claim of power: leave it out',
    ),
  ),
];

const QUANTITIES: readonly Phrase[] = [
  phrase(String.raw`(${NUMBER})\s*-?(${UNIT})`, (to, [number = '', unit = '']) =>
    takeQuantity(to, number, unit),
  ),
  phrase(`(${NUMBER})`, (to, [said = '']) =>
    to.fault(`'${said}' has no unit`, "give it, as in '120 W', '6 ohm' or '0.9 %'"),
  ),
];

/** What stands between the terms and says nothing by itself. */
const BETWEEN: readonly Phrase[] = [
  silent(String.raw`[\s,;|@()/]+`),
  silent(
    String.raw`(?:power|output|into|in|at|with|and|or|from|of|the|a|an|load|loads|rated|resistive|driven|for|tone|distortion|impedance|frequency|band|bandwidth|amplifier|unit|gives|delivers|ac)\b(?!\s*\+)`,
  ),
  silent(String.raw`<=?|\u2264|=|:|(?:less than|no more than|not more than|at most|under|below|up to)\b`),
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

/** Where one power is joined to the next by a word rather than by a comma. */
export const JOINED = new RegExp(String.raw`\b(?:and|or)\b(?=\s*${PLAIN}\s*${WATT})`, 'giu');
