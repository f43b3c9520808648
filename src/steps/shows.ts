import type { ShowKind } from '../document/model/ground.js';
import type { StepKindName } from '../sequence/step-base.js';
import { showClimb } from './climb/show.js';
import { showHold } from './hold/show.js';
import { showMaxPower } from './max-power/show.js';
import { showQuiet } from './quiet/show.js';
import { showSweep } from './sweep/show.js';
import { showWarmUp } from './warm-up/show.js';

/** A kind that plays and concludes nothing. */
const nothing: ShowKind = () => [];

/** What the steps of each kind show, in the order of a document: the whole band first. */
export const SHOWS: Readonly<Record<StepKindName, ShowKind>> = {
  'max-power': showMaxPower,
  climb: showClimb,
  sweep: showSweep,
  hold: showHold,
  quiet: showQuiet,
  'warm-up': showWarmUp,
  ask: nothing,
  rest: nothing,
};
