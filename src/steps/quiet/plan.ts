import { z } from 'zod';
import { isYes, quantity, yesOrNo } from '../../schema/fields.js';
import type { StepLayout } from '../../sequence/lay-out.js';
import type { WiredBase } from '../../sequence/step-base.js';
import { fixedPart, NO_DUTY, type StepPlan } from '../../sequence/step-plan.js';
import { wiredFields } from '../../sequence/written-fields.js';
import { formatDuration } from '../../units/format.js';

/** Play nothing, and listen to what the unit gives by itself: DC, hum and noise. */
export interface QuietStep extends WiredBase {
  readonly kind: 'quiet';
  readonly seconds: number;
  /** The run stops when a channel has more DC or more noise (rms in the band) than this; null: only told. */
  readonly mostDc_V: number | null;
  readonly mostNoise_V: number | null;
  /** Whether the operator is asked for the DC that a meter shows at each output. */
  readonly asksDc: boolean;
}

const limit = quantity('V', { positive: true, max: 100 });

const schema = z.strictObject({
  for: quantity('s', { min: 1, max: 3600 }),
  most_dc: limit.optional(),
  most_noise: limit.optional(),
  dc_meter: yesOrNo.optional(),
  ...wiredFields,
});

type QuietKeys = z.output<typeof schema>;

function layOut({ setting, keys, isFaulty }: StepLayout<QuietKeys>): QuietStep | null {
  if (!setting || keys.for === undefined || isFaulty) return null;
  return {
    kind: 'quiet',
    ...setting.base,
    seconds: keys.for,
    mostDc_V: keys.most_dc ?? null,
    mostNoise_V: keys.most_noise ?? null,
    asksDc: isYes(keys.dc_meter),
  };
}

export const QUIET: StepPlan<QuietKeys, QuietStep> = {
  kind: 'quiet',
  schema,
  short: null,
  layOut,
  parts: ({ seconds }) => [fixedPart('whole', seconds)],
  points: () => 1,
  duty: () => NO_DUTY,
  words: ({ seconds, asksDc }) =>
    `${asksDc ? 'ask for DC by meter, ' : ''}listen for ${formatDuration(seconds)}`,
  question: () => null,
  needs: 'loads',
  resumes: 'again',
  // What is driven further on was listened to before, on every channel: a unit that was switched off since, too.
  afterBreak: 'once-more-as-it-stands',
  rates: 'none',
  repeats: true,
  standsAlone: true,
  passes: 'each',
};

/** Whether a person with a meter is asked for what it shows. */
export const asksForMeter = (step: { readonly kind: string }): boolean =>
  step.kind === 'quiet' && (step as QuietStep).asksDc;
