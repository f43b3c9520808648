import type { StepStage } from '../../runner/course/walk.js';
import { watchLevel } from '../../runner/held/watch-level.js';
import type { WarmUpStep } from './plan.js';

/** Holds a level so that the unit is warm; leaves its points only. */
export async function playWarmUp(stage: StepStage, step: WarmUpStep): Promise<void> {
  await watchLevel(stage, step);
}
