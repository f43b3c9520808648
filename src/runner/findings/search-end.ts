import type { SearchEnd } from '../../record/reasons.js';
import type { EnergisedStep } from '../../sequence/plan.js';
import type { Walk } from '../course/walk.js';

/** Limits that differ by less than this share are one and the same. */
const SAME = 1e-6;

/**
 * What set the highest level of a search: the interface, or the step, which may have it from the load.
 *
 * @param atFullScale whether the interface reached full scale before the step's limit
 */
export function levelLimit(walk: Walk, step: EnergisedStep, atFullScale: boolean): SearchEnd {
  if (atFullScale) return { by: 'interface-full-scale' };
  const { measured, load_ohm, most_W } = step;
  const rating_W = Math.min(...measured.map((channel) => walk.load(channel, load_ohm).rating_W));
  const by = Math.abs(most_W / rating_W - 1) < SAME ? 'load-rating' : 'step-limit';
  return { by, limit_W: most_W };
}
