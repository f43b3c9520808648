import type { ClaimComparison } from '../../judgement/compare-claims.js';
import type { RestatingStep } from '../../judgement/restating-step.js';
import type { PublishedClaim } from '../run/given-claims.js';

/** A claim with all that can be said of it without a measurement. */
export interface ClaimStudy extends PublishedClaim {
  /** `A`, `B` ... by which text and table refer to it. */
  readonly name: string;
  readonly missing: readonly string[];
  /** One by one on the way to the terms asked for; null when none were. */
  readonly steps: readonly RestatingStep[] | null;
}

/** A claim beside another, by name. */
export interface NamedComparison extends ClaimComparison {
  readonly first: string;
  readonly second: string;
}
