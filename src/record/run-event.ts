import type { StepKindName } from '../sequence/step-base.js';
import type { Subject } from '../sequence/step-plan.js';
import type { EndCause } from './end-cause.js';
import type { Outcome } from './outcome.js';

/** How a step is entered: for the first time, once more from its beginning, or where it was interrupted. */
export type Entry = 'first' | 'again' | 'on';

/**
 * What happened in a run, in the order it happened. Whatever is later asked of a run is a field here: sentences are made on
 * display, and none is read back.
 */
export type RunEvent = { readonly at_s: number } & (
  | {
      readonly kind: 'step-entered';
      readonly step: string;
      /** Null for a step without points in a run of version 0.1, which kept no more than its name. */
      readonly step_kind: StepKindName | null;
      readonly entry: Entry;
    }
  | { readonly kind: 'step-left'; readonly step: string }
  | {
      readonly kind: 'answered';
      /** One question may cover several: mains voltage and frequency. None when nothing is asked of it later. */
      readonly subjects: readonly Subject[];
      readonly text: string;
      /** `not-needed`: nothing has to be done on this bench. */
      readonly answer: 'confirmed' | 'refused' | 'not-needed';
    }
  /** The twin file that a simulated bench plays with. */
  | { readonly kind: 'twin'; readonly sha256: string }
  | {
      readonly kind: 'ended';
      readonly outcome: Outcome;
      /** Left out in runs of earlier versions. */
      readonly cause?: EndCause | undefined;
      readonly reason: string;
    }
  /** Words for people. Nothing may depend on them. */
  | { readonly kind: 'note'; readonly topic: string; readonly text: string }
  /** Of a later version, which calls it `named`: to be shown, and for nothing else. */
  | { readonly kind: 'unknown'; readonly named: string; readonly fields: object }
);
