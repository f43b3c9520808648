import type { PointEvidence } from '../../measure/cause/evidence.js';

/** What one channel shows where it is stopped, and 20 dB below that. */
export interface EvidencePair {
  readonly failing: PointEvidence;
  readonly low: PointEvidence;
}
