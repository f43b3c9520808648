import { restFor } from '../../runner/course/rest.js';
import type { Walk } from '../../runner/course/walk.js';
import type { RestStep } from './plan.js';

/** Lets the unit and the loads cool. */
export const playRest = (walk: Walk, { seconds }: RestStep): Promise<void> =>
  restFor(walk, seconds, async (share) => walk.progress.advance(share));
