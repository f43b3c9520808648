import type { RunRecord } from '../../record/run-record.js';
import { formatQuantity } from '../../units/format.js';
import { benchKindWords } from '../model/bench-kind-words.js';
import { usedCalibration } from '../model/calibration-used.js';
import { bandsOf } from '../model/definitions.js';
import { mainsWords, outcomeWords } from '../model/wording.js';
import type { Matter } from './agreement.js';
import { bandWords } from './match-figures.js';

const HASH_LENGTH = 12;
const short = (sha256: string): string => sha256.slice(0, HASH_LENGTH);
const unique = <T>(values: readonly T[]): T[] => [...new Set(values)];
const listed = (values: readonly string[], none: string): string =>
  values.length === 0 ? none : values.join('; ');
const rising = (values: readonly number[]): number[] => unique(values).sort((a, b) => a - b);
const ohms = (value: number): string => formatQuantity(value, 'ohm', { figures: 4, trim: true });
const hertz = (value: number): string => formatQuantity(value, 'Hz', { figures: 3, trim: true });

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
    bandsOf(readings).map((band) => bandWords(band)),
    'no reading',
  );
}

function thresholds({ results }: RunRecord): string {
  const marks = results.flatMap((one) =>
    one.kind === 'power-at-thdn' || one.kind === 'ceiling' || one.kind === 'sum'
      ? [one.threshold_percent]
      : [],
  );
  return listed(
    rising(marks).map((percent) => formatQuantity(percent, '%')),
    'none marked',
  );
}

function frequencies({ points }: RunRecord): string {
  const kinds = unique(points.map(({ stepKind }) => stepKind)).sort();
  const ofKind = kinds.map((kind) => {
    const all = rising(
      points.filter(({ stepKind }) => stepKind === kind).map(({ nominal_Hz }) => nominal_Hz),
    );
    return all.length <= 2
      ? `${kind} at ${all.map(hertz).join(' and ')}`
      : `${kind} at ${all.length} from ${hertz(all[0]!)} to ${hertz(all.at(-1)!)}`;
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
export const MATTERS: readonly Matter[] = [
  {
    matter: 'Outcome',
    value: outcomeWords,
    key: ({ outcome }) => outcome,
    effect:
      'what a run that did not reach its end left out is missing, and what it has may not be its last word',
    makesUnlike: true,
  },
  {
    matter: 'Class of bench',
    value: ({ bench }) => benchKindWords(bench.kind),
    effect:
      'a computed unit and a real one, or two kinds of measuring, are set side by side: a difference is not one of units only',
    makesUnlike: true,
  },
  {
    matter: 'Sequence',
    value: ({ sequence }) => `${sequence.name} (sha256 ${short(sequence.sha256)})`,
    key: ({ sequence }) => sequence.sha256,
    effect:
      'the units came to each figure by another way, warmer or colder, searched finer or coarser; figures are paired by their settings',
    makesUnlike: false,
  },
  {
    matter: 'Measuring band',
    value: bands,
    effect:
      'a wider band takes in more noise and more harmonics: figures that were measured in unlike bands are marked',
    makesUnlike: false,
  },
  {
    matter: 'Loads',
    value: loads,
    effect:
      'fewer ohms ask for more current: powers into different loads are marked and say nothing about which unit gives more',
    makesUnlike: false,
  },
  {
    matter: 'Measured ohms',
    value: measuredLoads,
    effect:
      'powers are computed with the ohms as measured; a load that is far off its label also loads the unit differently',
    makesUnlike: false,
  },
  {
    matter: 'Channels driven',
    value: driven,
    effect:
      'a shared supply gives less to each when more are driven: powers with other channels driven are marked',
    makesUnlike: false,
  },
  {
    matter: 'Thresholds',
    value: thresholds,
    effect: 'a power is only compared with one at the same THD+N; others stand alone',
    makesUnlike: false,
  },
  {
    matter: 'Frequencies',
    value: frequencies,
    effect: 'the worst of a band depends on where one looked; a coarser list may have missed it',
    makesUnlike: false,
  },
  {
    matter: 'Mains',
    value: mains,
    effect: 'an unregulated supply follows the mains: 1 % of it is 2 % of power at clipping',
    makesUnlike: false,
  },
  {
    matter: 'Bench file',
    value: ({ bench }) => `${bench.name} (sha256 ${short(bench.sha256)})`,
    key: ({ bench }) => bench.sha256,
    effect: 'nothing cancels that the bench files state, so that the uncertainty of a difference is larger',
    makesUnlike: false,
  },
  {
    matter: 'Sampling rate',
    value: ({ bench }) => formatQuantity(bench.rate_Hz, 'Hz', { trim: true }),
    effect:
      'at a lower rate fewer harmonics of high tones can be read: THD+N in the treble may read too low there',
    makesUnlike: false,
  },
  {
    matter: 'Calibration',
    value: calibration,
    key: ({ calibration: used }) => JSON.stringify(used.map(({ id, sha256 }) => [id, sha256])),
    effect:
      'records that are not the same cancel nowhere; what is overdue, or stated nowhere, may be off by more than its uncertainty',
    makesUnlike: false,
  },
  {
    matter: 'Version of ohmest',
    value: ({ version }) => version,
    effect: 'another version may search or compute differently',
    makesUnlike: false,
  },
];
