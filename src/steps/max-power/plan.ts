import { z } from 'zod';
import { leastFloor } from '../../calibration/floor.js';
import type { StepLayout } from '../../sequence/lay-out.js';
import { type PowerRange, rangeOf, settleLevel } from '../../sequence/lay-out-level.js';
import { tonesOf, tonesWords } from '../../sequence/lay-out-tones.js';
import { type Level, levelField, levelInPass } from '../../sequence/level.js';
import type { EnergisedBase } from '../../sequence/step-base.js';
import { capturePart, GAIN_CAPTURES, middleTone, PLAYS, type StepPlan } from '../../sequence/step-plan.js';
import {
  frequenciesField,
  powerField,
  thresholdField,
  topField,
  wiredFields,
} from '../../sequence/written-fields.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { formatQuantity } from '../../units/format.js';

/** At each frequency, find the highest power that keeps a distortion threshold. */
export interface MaxPowerStep extends EnergisedBase {
  readonly kind: 'max-power';
  readonly tones: readonly CoherentTone[];
  readonly threshold_percent: number;
  /** No search goes below this: a unit that distorts more there keeps the threshold at no power. */
  readonly from_W: number;
  /** Where the first search begins; null: from below, like a climb. */
  readonly start: Level | null;
  /** Only the frequencies that a sweep at the same setting has left open, at the power that all of them keep. */
  readonly fullBand: boolean;
}

const schema = z.strictObject({
  threshold: thresholdField,
  frequencies: frequenciesField,
  from: powerField.optional(),
  to: topField.optional(),
  start: levelField.optional(),
  full_band: z.boolean().optional(),
  ...wiredFields,
});

type MaxPowerKeys = z.output<typeof schema>;

/** Captures at each frequency when its neighbour's answer is known, and more for every further channel. */
const CAPTURES = 3;
const CAPTURES_PER_CHANNEL = 0.45;
/** Captures of the first frequency beyond that, when it is searched from below. */
const SEARCH_CAPTURES = 15;
/**
 * A search of the full-band power takes no time where the sweep kept the limit, and up to 37 % of a run where it did not, which nobody knows
 * before the sweep is over. Between these lies the estimate whose largest error is least: 24 % of the run, on the shipped twins.
 */
const FULL_BAND_CAPTURES = 0.35;
const FULL_BAND_FIRST = 5.5;
const FULL_BAND_CAUSES = 4;
/** Captures that explain why powers fall short: none on some units, up to fourteen on others. */
const CAUSE_CAPTURES = 6;

/** Captures that are kept as points, at each frequency and once for the first. */
function capturesOf({ measured, start, fullBand }: MaxPowerStep): { each: number; first: number } {
  if (fullBand) return { each: FULL_BAND_CAPTURES, first: FULL_BAND_FIRST };
  const each = CAPTURES + CAPTURES_PER_CHANNEL * (measured.length - 1);
  return { each, first: start ? 0 : SEARCH_CAPTURES };
}

export const MAX_POWER: StepPlan<MaxPowerKeys, MaxPowerStep> = {
  ...PLAYS,
  kind: 'max-power',
  schema,
  layOut,
  parts: (step) => {
    const { each, first } = capturesOf(step);
    const middle = middleTone(step.tones);
    return [
      capturePart('aim', 'aim', GAIN_CAPTURES, middle),
      ...step.tones.map((tone) =>
        capturePart(String(tone.nominal_Hz), 'search', each + (tone === middle ? first : 0), tone),
      ),
      capturePart('causes', 'causes', step.fullBand ? FULL_BAND_CAUSES : CAUSE_CAPTURES, middle),
    ];
  },
  points: (step) => {
    const { each, first } = capturesOf(step);
    return Math.round(each * step.tones.length + first);
  },
  words: ({ threshold_percent, tones, fullBand }) =>
    `${fullBand ? 'full-band power' : 'maximum power'} at ${formatQuantity(threshold_percent, '%')} THD+N, ${tonesWords(tones)}`,
  resumes: 'here',
  afterBreak: 'nothing',
  rates: 'continuous',
  passes: 'each',
  tones: ({ tones }) => tones,
  lowest_W: ({ from_W }) => from_W,
  thresholds: ({ threshold_percent }) => [threshold_percent],
  marks: false,
  inPass: (step, suffix) => ({ ...step, start: levelInPass(step.start, suffix) }),
  levelStands: false,
  explainsOverBand: true,
};

/** Lays the search out for a bench; null when anything about it is wrong (and was noted). */
function layOut(at: StepLayout<MaxPowerKeys>): MaxPowerStep | null {
  const { setting, keys } = at;
  const tones = tonesOf(at);
  const range = rangeOf(at);
  const start = settleLevel(at, 'start')?.level ?? null;
  if (range && start) noteStartOutside(at, start, range);
  noteThresholdBelowFloor(at);
  if (!setting || !range || keys.threshold === undefined || at.isFaulty) return null;
  const [threshold_percent, fullBand] = [keys.threshold, keys.full_band ?? false];
  return { kind: 'max-power', ...setting.base, ...range, tones, threshold_percent, start, fullBand };
}

function noteThresholdBelowFloor(at: StepLayout<MaxPowerKeys>): void {
  const { threshold } = at.keys;
  const floor = at.bench.floor ? leastFloor(at.bench.floor) : null;
  if (threshold === undefined || floor === null || threshold > floor) return;
  const what = `the threshold of ${formatQuantity(threshold, '%')} is not above what the bench reads by itself`;
  at.complain('threshold', what, `its floor is ${formatQuantity(floor, '%')}`);
}

function noteStartOutside(at: StepLayout, start: Level, { from_W, most_W }: PowerRange): void {
  if (start.kind !== 'power' || (start.power_W >= from_W && start.power_W <= most_W)) return;
  at.complain(
    'start',
    `the start at ${formatQuantity(start.power_W, 'W')} is not between the ends of the search`,
    `it goes from ${formatQuantity(from_W, 'W')} to ${formatQuantity(most_W, 'W')}`,
  );
}
