import type { KneeResult } from '../../record/old-results.js';
import { powerWithin } from './wording.js';

/** A knee that is known no better than this share of itself is none that a reader could go by. */
const CLEAR_SHARE = 0.5;

/** A knee whose power was found. */
export type FoundKnee = KneeResult & { readonly power_W: number };

/** Whether THD+N turns up at one place: a soft unit bends so gradually that its knee may lie almost anywhere. */
export function isClearKnee(knee: KneeResult | undefined): knee is FoundKnee {
  if (knee?.power_W == null) return false;
  return (knee.uncertainty_W ?? 0) <= CLEAR_SHARE * knee.power_W;
}

/** `knee at 97.2 W ± 0.7 W`, `no clear knee (13.8 W ± 28 W)`, or that there is none. */
export function kneePlace(knee: KneeResult): string {
  if (knee.power_W === null) return 'no knee found';
  const place = powerWithin(knee.power_W, knee.uncertainty_W ?? null);
  return isClearKnee(knee) ? `knee at ${place}` : `no clear knee (${place})`;
}
