import { findingsOf } from '../../record/findings-of.js';
import type { RunRecord } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { frequencyWords } from '../../units/nominal-frequency.js';
import { benchKindWords } from '../model/bench-kind-words.js';
import { usedCalibration } from '../model/calibration-used.js';
import { bandsOf } from '../model/definitions.js';
import { mainsWords, outcomeWords } from '../model/wording.js';
import { tonesWords } from './match-figures.js';

/** One condition of a measurement held side by side over several runs. */
export interface Agreement {
  readonly matter: string;
  readonly state: 'agree' | 'differ';
  /** What each run says, in the order of the runs. */
  readonly values: readonly { readonly run: number; readonly value: string }[];
  /** What follows from it for who compares the figures; empty where the runs agree. */
  readonly effect: string;
  /** Runs whose figures are not like those of the first by this alone: they are marked wherever they stand. */
  readonly unlike: readonly number[];
}

/**
 * In what the protocols of several runs agree and in what they differ, condition by condition, and how each difference
 * matters. The first run is the one that the others are held against.
 */
export function agreement(records: readonly RunRecord[]): Agreement[] {
  const first = records[0];
  if (first === undefined) return [];
  return MATTERS.map(({ matter, value, key = value, effect, makesUnlike }) => {
    const wanted = key(first);
    const others = records.filter((record) => key(record) !== wanted).map(({ run }) => run);
    return {
      matter,
      state: others.length === 0 ? 'agree' : 'differ',
      values: records.map((record) => ({ run: record.run, value: value(record) })),
      effect: others.length === 0 ? '' : effect,
      unlike: makesUnlike ? others : [],
    };
  });
}

/** Why a run is unlike the first as a whole: the matters by name; empty when it is like it. */
export const unlikeMatters = (agreements: readonly Agreement[], run: number): string[] =>
  agreements.filter(({ unlike }) => unlike.includes(run)).map(({ matter }) => matter);

/** A condition as it is read off a run. */
interface Matter {
  readonly matter: string;
  /** In words for a reader. */
  readonly value: (record: RunRecord) => string;
  /** What is compared, where that is more than the words; left out: the words. */
  readonly key?: (record: RunRecord) => string;
  /** What a difference means. */
  readonly effect: string;
  /** A run that differs in it is unlike as a whole. Left out: it is settled figure by figure, or only worth knowing. */
  readonly makesUnlike?: true;
}

const HASH_LENGTH = 12;
const short = (sha256: string): string => sha256.slice(0, HASH_LENGTH);
const unique = <T>(values: readonly T[]): T[] => [...new Set(values)];
const listed = (values: readonly string[], none: string): string =>
  values.length === 0 ? none : values.join('; ');
const rising = (values: readonly number[]): number[] => unique(values).sort((a, b) => a - b);
const ohms = (value: number): string => formatQuantity(value, 'ohm', { figures: 4, trim: true });

/** The load counts as it was measured; only its label would be a share of this, or more, away. */
const LABEL_OFF = 0.005;

function loads({ points }: RunRecord): string {
  return listed(rising(points.map(({ load_ohm }) => load_ohm)).map(ohms), 'none used');
}

/** How far the measured loads are from their labels, at most. */
function measuredLoads({ readings }: RunRecord): string {
  const off = unique(readings.map(({ load_ohm, load_measured_ohm }) => load_measured_ohm / load_ohm - 1));
  const farthest = off.reduce((most, one) => (Math.abs(one) > Math.abs(most) ? one : most), 0);
  if (Math.abs(farthest) < LABEL_OFF) return 'as labelled, within 0.5 %';
  const sign = farthest < 0 ? '' : '+';
  return `up to ${sign}${formatQuantity(100 * farthest, '%', { figures: 2 })} off their labels`;
}

function driven({ points }: RunRecord): string {
  return listed(unique(points.map((point) => point.driven.join(' + '))), 'none');
}

function bands({ readings }: RunRecord): string {
  return listed(
    bandsOf(readings).map((band) => tonesWords(band)),
    'no reading',
  );
}

function limits(record: RunRecord): string {
  const percents = findingsOf(record).flatMap(({ terms }) => terms.threshold_percent ?? []);
  return listed(
    rising(percents).map((percent) => formatQuantity(percent, '%')),
    'none',
  );
}

function frequencies({ points }: RunRecord): string {
  const kinds = unique(points.map(({ stepKind }) => stepKind)).sort();
  const ofKind = kinds.map((kind) => {
    const all = rising(
      points.filter(({ stepKind }) => stepKind === kind).map(({ nominal_Hz }) => nominal_Hz),
    );
    return all.length <= 2
      ? `${kind} at ${all.map(frequencyWords).join(' and ')}`
      : `${kind} at ${all.length} from ${frequencyWords(all[0]!)} to ${frequencyWords(all.at(-1)!)}`;
  });
  return listed(ofKind, 'none');
}

function mains({ points }: RunRecord): string {
  return listed(unique(points.map(({ mains_V }) => mains_V)).map(mainsWords), 'mains as it came');
}

function calibration(record: RunRecord): string {
  const used = usedCalibration(record);
  if (used.length === 0) return 'no record: what the bench file states';
  const day = record.started.slice(0, 10);
  const overdue = used.filter(({ due }) => due !== null && due < day).length;
  const state = overdue === 0 ? 'none overdue' : `${overdue} overdue`;
  return `${used.length} ${used.length === 1 ? 'record' : 'records'}, ${state}`;
}

/** Conditions that decide whether figures may be compared, the weightiest first. */
const MATTERS: readonly Matter[] = [
  {
    matter: 'Outcome',
    value: outcomeWords,
    key: ({ outcome }) => outcome,
    effect: 'a run that did not reach its end lacks figures, and those it has may not be final',
    makesUnlike: true,
  },
  {
    matter: 'Class of bench',
    value: ({ bench }) => benchKindWords(bench.kind),
    effect:
      'a simulated unit and a real one, or two ways of measuring, stand side by side: a difference is not of the units only',
    makesUnlike: true,
  },
  {
    matter: 'Sequence',
    value: ({ sequence }) => `${sequence.name} (sha256 ${short(sequence.sha256)})`,
    key: ({ sequence }) => sequence.sha256,
    effect: 'temperature and search differ on the way to each figure; figures are paired by their settings',
  },
  {
    matter: 'Measuring band',
    value: bands,
    effect: 'a wider band takes in more noise and harmonics: figures measured in other bands are marked',
  },
  {
    matter: 'Loads',
    value: loads,
    effect: 'a lower load draws more current: powers into other loads are marked and do not rank the units',
  },
  {
    matter: 'Measured ohms',
    value: measuredLoads,
    effect: 'powers use the measured ohms; a load far off its label also loads the unit differently',
  },
  {
    matter: 'Channels driven',
    value: driven,
    effect:
      'a shared supply gives each channel less when more are driven: powers with other channels driven are marked',
  },
  {
    matter: 'THD+N limits',
    value: limits,
    effect: 'a power is compared only with one at the same limit',
  },
  {
    matter: 'Frequencies',
    value: frequencies,
    effect: 'the worst of a band depends on the frequencies tried; a coarser list may have missed it',
  },
  {
    matter: 'Mains',
    value: mains,
    effect: 'an unregulated supply follows the mains: 1 % of voltage is 2 % of power at clipping',
  },
  {
    matter: 'Bench file',
    value: ({ bench }) => `${bench.name} (sha256 ${short(bench.sha256)})`,
    key: ({ bench }) => bench.sha256,
    effect: 'different benches: calibration errors stated in the bench files do not cancel',
  },
  {
    matter: 'Sampling rate',
    value: ({ bench }) => formatQuantity(bench.rate_Hz, 'Hz', { trim: true }),
    effect:
      'at a lower rate fewer harmonics of high tones are in reach: THD+N in the treble may read too low',
  },
  {
    matter: 'Calibration',
    value: calibration,
    key: ({ calibration: used }) => JSON.stringify(used.map(({ id, sha256 }) => [id, sha256])),
    effect:
      'errors of different records do not cancel; an overdue record may be off by more than its uncertainty',
  },
  {
    matter: 'Version of ohmest',
    value: ({ version }) => version,
    effect: 'another version may search or compute differently',
  },
];
