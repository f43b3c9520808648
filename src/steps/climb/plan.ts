import { z } from 'zod';
import { leastFloor } from '../../calibration/floor.js';
import type { StepLayout } from '../../sequence/lay-out.js';
import { rangeOf } from '../../sequence/lay-out-level.js';
import { singleTone } from '../../sequence/lay-out-tones.js';
import type { EnergisedBase } from '../../sequence/step-base.js';
import { capturePart, GAIN_CAPTURES, PLAYS, type StepPlan } from '../../sequence/step-plan.js';
import {
  frequencyField,
  powerField,
  thresholdField,
  topField,
  wiredFields,
} from '../../sequence/written-fields.js';
import type { CoherentTone } from '../../signal/coherent-tone.js';
import { formatQuantity } from '../../units/format.js';
import { climbCaptures } from './plan-captures.js';

/** Raise the level at one frequency until the stop rule, marking the power at each threshold. */
export interface ClimbStep extends EnergisedBase {
  readonly kind: 'climb';
  readonly tone: CoherentTone;
  readonly from_W: number;
  /** THD+N thresholds to mark, rising. */
  readonly marks_percent: readonly number[];
  /** The climb ends once every driven channel is above this. At least the highest mark. */
  readonly stop_percent: number;
}

const schema = z.strictObject({
  frequency: frequencyField,
  from: powerField.optional(),
  to: topField.optional(),
  marks: z.array(thresholdField).min(1).max(20).optional(),
  stop: thresholdField.optional(),
  ...wiredFields,
});

type ClimbKeys = z.output<typeof schema>;

const MARKS_PERCENT = [0.1, 1];
/** Captures that explain why powers fall short. */
const CAUSE_CAPTURES = 1;

export const CLIMB: StepPlan<ClimbKeys, ClimbStep> = {
  ...PLAYS,
  kind: 'climb',
  schema,
  layOut,
  parts: (step) => [
    capturePart('aim', 'aim', GAIN_CAPTURES, step.tone),
    capturePart('levels', 'levels', climbCaptures(step), step.tone),
    capturePart('causes', 'causes', CAUSE_CAPTURES, step.tone),
  ],
  points: (step) => Math.round(climbCaptures(step)),
  words: ({ marks_percent, tone, from_W }) =>
    `climb at ${formatQuantity(tone.frequency_Hz, 'Hz')} from ${formatQuantity(from_W, 'W')}, mark ${marks_percent
      .map((mark) => formatQuantity(mark, '%'))
      .join(' and ')}`,
  resumes: 'here',
  afterBreak: 'nothing',
  rates: 'continuous',
  passes: 'each',
  tones: ({ tone }) => [tone],
  lowest_W: ({ from_W }) => from_W,
  thresholds: ({ marks_percent }) => marks_percent,
  marks: true,
  inPass: (step) => step,
  levelStands: false,
  explainsOverBand: false,
};

/** Lays a climb out for a bench; null when anything about it is wrong (and was noted). */
function layOut(at: StepLayout<ClimbKeys>): ClimbStep | null {
  const { setting, keys } = at;
  const thresholds = thresholdsOf(at);
  const tone = keys.frequency === undefined ? null : singleTone(at, keys.frequency);
  const range = rangeOf(at);
  if (!setting || !tone || !range || at.isFaulty) return null;
  return { kind: 'climb', ...setting.base, ...range, tone, ...thresholds };
}

function thresholdsOf(at: StepLayout<ClimbKeys>) {
  const { keys, bench } = at;
  const marks = keys.marks ?? MARKS_PERCENT;
  const stop_percent = keys.stop ?? Math.max(...marks);
  const floor = bench.floor ? leastFloor(bench.floor) : null;
  const note = (key: readonly PropertyKey[], what: string, mend: string) =>
    at.complainAt([...at.written.path, ...key], what, mend);
  marks.forEach((mark, i) => {
    if (mark > stop_percent)
      note(
        keys.marks ? ['marks', i] : ['stop'],
        `the mark of ${formatQuantity(mark, '%')} lies above the stop at ${formatQuantity(stop_percent, '%')}`,
        'stop at the highest mark or above it',
      );
    if (floor !== null && mark <= floor)
      note(
        keys.marks ? ['marks', i] : [],
        `the mark of ${formatQuantity(mark, '%')} is not above what the bench reads by itself`,
        `its floor is ${formatQuantity(floor, '%')}`,
      );
  });
  return { marks_percent: [...new Set(marks)].sort((a, b) => a - b), stop_percent };
}
