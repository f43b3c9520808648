import type { StepStage, Walk } from '../runner/course/walk.js';
import type { EnergisedStep, PlanStep } from '../sequence/plan.js';
import type { EnergisedBase, StepKindName } from '../sequence/step-base.js';
import { playAsk } from './ask/play.js';
import { playClimb } from './climb/play.js';
import { playHold } from './hold/play.js';
import { playMaxPower } from './max-power/play.js';
import { playQuiet } from './quiet/play.js';
import { playRest } from './rest/play.js';
import { playSweep } from './sweep/play.js';
import { playWarmUp } from './warm-up/play.js';

type StepOf<Kind extends StepKindName> = Extract<PlanStep, { readonly kind: Kind }>;

/** A step that puts out a signal plays on a stage, under a watch; any other has the run itself. */
type Play<Step> = (place: Step extends EnergisedBase ? StepStage : Walk, step: Step) => Promise<void>;

/** What plays each kind of step. */
const PLAYS: { readonly [Kind in StepKindName]: Play<StepOf<Kind>> } = {
  ask: playAsk,
  rest: playRest,
  quiet: playQuiet,
  climb: playClimb,
  sweep: playSweep,
  'max-power': playMaxPower,
  hold: playHold,
  'warm-up': playWarmUp,
};

/** What plays a step: the one place where a step meets the entry of its own kind. */
export function playOf(step: EnergisedStep): (stage: StepStage) => Promise<void>;
export function playOf(step: PlanStep): (walk: Walk) => Promise<void>;
export function playOf(step: PlanStep): (place: never) => Promise<void> {
  const play = PLAYS[step.kind] as (place: never, step: PlanStep) => Promise<void>;
  return (place) => play(place, step);
}
