import type { StepKindName } from '../sequence/step-base.js';

/** A power that a run found at a threshold of distortion, without what stands behind it. */
export interface FoundPower {
  readonly run: number;
  readonly step_kind: StepKindName;
  readonly channel: number;
  /** How many channels were driven. */
  readonly driven: number;
  readonly load_ohm: number;
  readonly frequency_Hz: number;
  readonly threshold_percent: number;
  /** Null where there was none within the limits of the step. */
  readonly power_W: number | null;
}
