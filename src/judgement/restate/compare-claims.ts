import { decibelsOfPower } from '../../units/decibel.js';
import type { Claim, ClaimTerms } from '../claim/claim.js';
import { bandWords, drivenCount, given } from '../claim/claim-words.js';
import { restateClaim } from './restate-claim.js';
import { type ChainKind, kindOfAll, type RestatingStep } from './restating-step.js';

/** Whether two claims can be held against each other, and what comes out. */
export interface ClaimComparison {
  /** `restated`: only after the second was put on the terms of the first. */
  readonly state: 'as-stated' | 'restated' | 'not-comparable';
  /** Second over first, dB of power; null when they cannot be compared. */
  readonly difference_dB: number | null;
  /** Least and most of it where models of clipping disagree. */
  readonly range_dB: readonly [number, number] | null;
  /** What the difference is by the restating: with an upper bound the second is at most this much above. */
  readonly kind: ChainKind;
  readonly steps: readonly RestatingStep[];
  /** Why not, or what stands between them; empty when nothing does. */
  readonly reasons: readonly string[];
}

/** Terms that have to agree, what they are called, and how they are written. */
const CONDITIONS: readonly {
  readonly term: keyof ClaimTerms;
  readonly noun: string;
  readonly write: (claim: ClaimTerms) => string;
}[] = [
  { term: 'load_ohm', noun: 'load', write: ({ load_ohm }) => given(load_ohm!, 'ohm') },
  {
    term: 'distortion_percent',
    noun: 'distortion',
    write: ({ distortion_percent }) => given(distortion_percent!, '%'),
  },
  { term: 'frequency_Hz', noun: 'frequency', write: ({ frequency_Hz }) => bandWords(frequency_Hz!) },
  { term: 'driven', noun: 'number of channels driven', write: ({ driven }) => drivenCount(driven!) },
];

/**
 * Holds a second claim against a first. What one of them does not state is never filled in: claims are comparable
 * as stated when load, distortion, frequency, channels driven and sort of power are stated alike in both (THD and
 * THD+N count as alike only by name), after restating when load or distortion differ, and else not at all.
 */
export function compareClaims(first: Claim, second: Claim): ClaimComparison {
  const open = CONDITIONS.flatMap(({ term, noun }) => unstated(term, noun, first, second));
  const apart = [
    ...sortReasons(first, second),
    ...whoseReasons(first, second),
    ...measureReasons(first, second),
  ];
  const unlike = CONDITIONS.filter(
    ({ term }) => first[term] !== null && second[term] !== null && differ(first[term], second[term]),
  );
  const steps = open.length > 0 ? [] : restateClaim(second, termsOf(first));
  const bridgeless = unlike.some(({ term }) => MEASURED_ONLY.includes(term));
  const between = unlike.map(({ noun, write }) => `another ${noun}: ${write(first)} and ${write(second)}`);
  const kind = kindOfAll(steps);
  if (open.length > 0 || apart.length > 0 || bridgeless || kind === 'not-computed') {
    const dead = steps.filter((step) => step.kind === 'not-computed').map(({ assumes }) => assumes);
    return {
      state: 'not-comparable',
      difference_dB: null,
      range_dB: null,
      kind: 'not-computed',
      steps: [],
      reasons: [...open, ...apart, ...between, ...dead],
    };
  }
  const last = steps.at(-1)?.claim ?? second;
  const range = steps.find(({ range_W }) => range_W !== null);
  const dB = (power_W: number) => decibelsOfPower(power_W / first.power_W);
  const spread = range ? last.power_W / range.power_W! : 1;
  return {
    state: steps.length === 0 ? 'as-stated' : 'restated',
    difference_dB: dB(last.power_W),
    range_dB: range ? [dB(range.range_W![0] * spread), dB(range.range_W![1] * spread)] : null,
    kind,
    steps,
    reasons: between,
  };
}

const termsOf = ({ load_ohm, distortion_percent }: Claim): Partial<ClaimTerms> => ({
  load_ohm,
  distortion_percent,
});

/** Terms that no arithmetic bridges, either way. */
const MEASURED_ONLY: readonly (keyof ClaimTerms)[] = ['driven', 'frequency_Hz'];

const differ = (a: unknown, b: unknown): boolean => JSON.stringify(a) !== JSON.stringify(b);

function unstated(term: keyof ClaimTerms, noun: string, first: Claim, second: Claim): string[] {
  const missing = [first, second].map((claim) => claim[term] === null);
  if (missing[0] && missing[1]) return [`neither states the ${noun}`];
  if (missing[0]) return [`the first does not state the ${noun}`];
  return missing[1] ? [`the second does not state the ${noun}`] : [];
}

function sortReasons(first: Claim, second: Claim): string[] {
  const kinds = [first, second].map(({ kind }) => kind ?? 'continuous');
  const bursts = differ(first.burst_s, second.burst_s) && kinds[0] === kinds[1];
  const reasons = kinds[0] === kinds[1] ? [] : [`another sort of power: ${kinds[0]} and ${kinds[1]}`];
  if (bursts) reasons.push('another length of burst');
  if (differ(first.bridged, second.bridged)) reasons.push('only one of them is bridged');
  if (differ(first.supply?.kind ?? 'mains', second.supply?.kind ?? 'mains'))
    reasons.push('one is for a direct-voltage supply, the other for mains');
  return reasons;
}

function whoseReasons(first: Claim, second: Claim): string[] {
  const whose = [first, second].map(({ per }) => per ?? 'channel');
  return whose[0] === whose[1] ? [] : ['one is the power of one channel, the other of all together'];
}

function measureReasons(first: Claim, second: Claim): string[] {
  const [a, b] = [first.distortion, second.distortion];
  return a !== null && b !== null && a !== b
    ? [`one states THD, the other THD+N, which also counts noise`]
    : [];
}
